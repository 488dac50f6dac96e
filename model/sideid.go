package model

import "fmt"

// SideID names one side of one frame, from the table of jobs to the label. With Letter left empty it names the ring, with Ring
// 0 as well the frame as the customer gets it, and with Copy 0 as well the job's line, which is Quantity such frames.
type SideID struct {
	Job    string `json:"job"`
	Frame  string `json:"frame"`
	Copy   int    `json:"copy"`   // from 1 to the frame's quantity
	Ring   int    `json:"ring"`   // from 1, the innermost
	Letter string `json:"letter"` // A, B, C … round the ring, as in Side
}

// OfRing names the ring that the side belongs to.
func (s SideID) OfRing() SideID {
	s.Letter = ""
	return s
}

// OfFrame names the frame that the side or ring belongs to.
func (s SideID) OfFrame() SideID {
	s.Ring, s.Letter = 0, ""
	return s
}

// OfLine names the job's line that the side, ring or frame belongs to.
func (s SideID) OfLine() SideID {
	return SideID{Job: s.Job, Frame: s.Frame}
}

// String names it for people, as far as it goes.
func (s SideID) String() string {
	text := fmt.Sprintf("job %s, frame %s", s.Job, s.Frame)
	if s.Copy > 0 {
		text += fmt.Sprintf(", copy %d", s.Copy)
	}
	if s.Ring > 0 {
		text += fmt.Sprintf(", ring %d", s.Ring)
	}
	if s.Letter != "" {
		text += ", side " + s.Letter
	}
	return text
}
