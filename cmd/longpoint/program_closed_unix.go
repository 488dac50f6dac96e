//go:build unix

package main

/*
#include <fcntl.h>

// Go opens standard streams that are closed on the null device before main begins, so that an answer would be lost without a word.
// This runs before that, and opens them only to be read: a write then fails. Each takes the lowest number that is free, so its own.
__attribute__((constructor)) static void reopen_closed(void) {
	for (int stream = 0; stream <= 2; stream++) {
		if (fcntl(stream, F_GETFD) == -1) {
			open("/dev/null", O_RDONLY);
		}
	}
}
*/
import "C"
