package planner

import "longpoint/model"

// recovered makes an error of a panic, which on a goroutine of its own would end the process with the exit status of a wrong
// command line.
func (jp *jointProblem) recovered(work func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = jp.fault("the search broke off", model.Broken(r))
		}
	}()
	return work()
}
