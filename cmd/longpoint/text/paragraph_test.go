package text

import "testing"

// TestParagraphKeepsCommands: what is to be typed stays on one line, to be copied.
func TestParagraphKeepsCommands(t *testing.T) {
	for words, want := range map[string]string{
		`There are two new labels to print: longpoint sheets labels --run 1 --changed`:             "There are two new labels to print:\n  longpoint sheets labels --run 1 --changed\n",
		`Once it has gone off, say it: longpoint order send. Until then it can be changed`:         "Once it has gone off, say it:\n  longpoint order send. Until then it can be\n  changed\n",
		`What is to be cut in it and what was is shown by "longpoint run" with the profile's name`: "What is to be cut in it and what was is\n  shown by \"longpoint run\" with the\n  profile's name\n",
	} {
		if got := Paragraph(words, "  ", 44); got != want {
			t.Errorf("got\n%swant\n%s", got, want)
		}
	}
}
