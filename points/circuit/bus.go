package circuit

// Figures of RS-485 (TIA-485-A) and of BACnet MS/TP (ASHRAE 135, clause 9).

// BiasVolts is the idle voltage in V between the wires of a pair with pull-up
// and pull-down of ohm each, across a resistance between the wires.
func BiasVolts(supply, ohm, across float64) float64 { return supply * across / (across + 2*ohm) }

// idleVolts is what the pair must idle at: the receiver's threshold, V.
const idleVolts = 0.2

// BiasLimit is the largest pull-up and pull-down, ohm each, that still hold the
// pair at the threshold.
func BiasLimit(supply, across float64) float64 {
	return (supply*across/idleVolts - across) / 2
}

// TerminatorWithBias is the terminator at the biased end, ohm, so that it and
// the bias resistors together match the cable.
func TerminatorWithBias(bias, cable float64) float64 { return 2 * cable * bias / (2*bias - cable) }

// TerminatorWithNodes is the terminator, ohm, that with the node inputs in
// parallel matches the cable.
func TerminatorWithNodes(nodes, cable float64) float64 { return cable / (1 - cable/nodes) }
