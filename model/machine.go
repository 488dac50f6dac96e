package model

// MachineType is how the machine parts the moulding.
type MachineType uint8

// The two machines a framer cuts mitres on.
const (
	Guillotine MachineType = iota + 1 // two blades in a V, pedal, several bites
	Saw
)

// Machine is a mitre guillotine or a mitre saw, as its user describes it from its manual. Nothing is preset.
type Machine struct {
	Name          string
	Type          MachineType
	Overrun       Length // guillotine: how far the point of the V runs past the back edge
	Kerf          Length // saw: width of the cut, square to the blade
	Shave         Length // kept in reserve at each mitre for the finishing cut, along the stick
	HeadTrim      Length // given up at the head of every stick
	TailTrim      Length
	Bite          Length // guillotine: how far the blades advance into the moulding's width in one stroke; 0 = one stroke
	FinishingBite Length // guillotine: the last, thin bite
	Limits        Limits
}

// Limits are what the user copied from the machine's manual. What is not given limits nothing.
type Limits struct {
	GreatestWidth OptionalLength // widest profile
	LongestSide   OptionalLength // measuring length: longest long point a stop can be set to
	ShortestSide  OptionalLength // shortest side that is safe to hold
	LeastAngle    OptionalAngle  // mitre angles it can cut, measured from a square cut
	GreatestAngle OptionalAngle
	Stops         int            // measuring stops; 0 = not given
	StopGap       OptionalLength // least distance between two stops
}

// Angle is a mitre angle in millionths of a degree, measured from a square cut.
type Angle int64

// OptionalAngle is an angle that may not have been given.
type OptionalAngle struct {
	Angle Angle
	Given bool
}
