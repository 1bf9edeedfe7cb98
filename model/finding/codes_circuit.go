package finding

// The checks of the circuit pass. A finding of these codes is a fault, a
// caution, or "cannot tell", which says what is needed and which answer passes.
func init() { register(circuitCodes) }

var circuitCodes = []Code{
	{"nature", "the two ends cannot work together", `Proves that the driving and the accepting terminal are of natures that work together: a contact into
a dry input, a 0-10 V output into a 0-10 V input, and so on; two outputs never. Of a transistor output and an
input one sinks the current and the other sources it.
Do: use another terminal or mode, or a device between that converts the signal.
Source: common practice; IEC 61131-2.`, "circuit"},
	{"wet-on-dry", "a voltage is put on a dry input", `Proves that no outside voltage reaches an input that wets the contact itself. 24 V AC is 33.9 V peak
on an input made for a passive contact: it is damaged, often with its whole row.
Do: use a dry relay output or the device's wet input, or a relay between.
Source: common practice; peak of a sine.`, "circuit"},
	{"needs-supply", "not exactly one source of voltage", `Proves that a switch feeding a voltage input, coil or load names exactly one supply, and that a wet
output names none besides itself. No source: nothing pulls in. Two: they meet.
Do: name the supply, or leave the second one out.
Source: common practice.`, "circuit"},
	{"ac-dc", "AC and DC do not agree", `Proves that source, switch and load agree on AC or DC. A triac turns off only where the current passes
zero: on DC it latches on or never conducts.
Do: use the right supply, or a relay.
Source: common practice for triac outputs; the data sheets.`, "circuit"},
	{"under-voltage", "too little voltage arrives", `Lowest source voltage - voltage kept by the output - drop in the wire >= lowest voltage at which the
input is sure to be on (V). Nominal ranges carry -10/+10 %; a transformer with stated regulation 95 to 105 %.
Do: raise the voltage, shorten the run, use a heavier wire.
Source: the data sheet, else IEC 61131-2 input types; ANSI C84.1; nominal tolerance common practice.`, "circuit"},
	{"over-voltage", "too much voltage", `Highest (unloaded) source voltage <= highest voltage the input may be given (V).
Do: use a lower supply, or a relay with a coil for that voltage.
Source: the data sheet, else IEC 61131-2 input types; nominal tolerance common practice.`, "circuit"},
	{"stays-on", "the input stays on when the driver is off", `What the driver lets through when off leaves the input below its sure-off threshold: leakage x input
resistance, or the complex divider V R / sqrt(R^2 + Xc^2) of a snubber at 60 Hz (V), or the leakage against
what the input type tolerates (A, IEC 61131-2).
Do: a resistor across the input, a relay output, or a relay between.
Source: IEC 61131-2; circuit analysis; cable 30 pF/ft from memory.`, "circuit"},
	{"contact-overload", "the contact switches more than it may", `Make (inrush), break and carry current (A) against the contact's ratings at that voltage, AC and DC
apart; pilot-duty designations by NEMA ICS 5: VA / V from 120 V up, the 120 V amperes below. A general-use
rating covers a coil only with the coil's inrush inside it.
Do: a relay between that is rated for it.
Source: NEMA ICS 5, UL 508, IEC 60947-5-1.`, "circuit"},
	{"contact-underload", "too little current to keep the contact clean", `Least current (A), voltage and power through the contact >= its minimum switching load.
Do: a gold-plated contact, a pilot relay, a current switch, or a loading resistor.
Source: the data sheet; common practice; IEC 62053-31 for S0.`, "circuit"},
	{"holding-current", "the load does not hold a solid-state output on", `Least load current (A) >= the output's holding or minimum load current.
Do: a relay output, or a resistor across the load: R = V / missing A, its power V^2 / R.
Source: the data sheet.`, "circuit"},
	{"range", "the signal ranges differ", `The driver's 0 to 100 % and the input's are the same volts or milliamperes; if not, shows what 0, 25, 50,
75 and 100 % arrive as.
Do: set both ends alike, or scale the output.
Source: the data sheets.`, "circuit"},
	{"no-stop", "the speed signal cannot stop the fan", `The driver's lowest output is under the input's run threshold by 5 % of the span, or a start circuit
that gates the speed stops the fan.
Do: an output that goes to zero, or a separate start circuit.
Source: common practice.`, "circuit"},
	{"output-overload", "more hangs on the output than it can drive", `Sum of V / input resistance over every input on the output, parallel circuits included (A) <= what the
output gives; for a powered output the sum of its loads.
Do: fewer inputs, a signal repeater, an output each; a relay for a powered output.
Source: the data sheets.`, "circuit"},
	{"loading-error", "the signal sags on its way", `(source + wire) / (source + wire + inputs in parallel) <= 1 % (common practice).
Do: heavier or shorter wire, a higher input resistance, a 4-20 mA signal.
Source: common practice; IEC 60751 for sensors.`, "circuit"},
	{"burden", "the current loop does not work out", `Exactly one source of loop power; the sum of burdens and wire (ohm) <= what drives it, for a two-wire
transmitter (supply - lift-off) / 21 mA, so that the NE 43 failure level is reached.
Do: fewer or lower burdens, an isolator, a loop supply, a passive input.
Source: the data sheets; NAMUR NE 43.`, "circuit"},
	{"conductor-drop", "the wire loses too much", `2 x length x ohm per 1000 ft x A (V) <= what may be lost before the load's minimum voltage. Constant
current; NEC chapter 9 table 8, small gauges computed. Says the longest run that works and the gauge that would do.
Do: that gauge, or a supply nearer to the load.
Source: NEC chapter 9 table 8 (NFPA 70-2017); ASTM B258 and B3.`, "circuit"},
	{"supply-overload", "the supply carries more than it may", `Sum of the running VA of every load <= share of the nameplate that may be used (80 %); the hardest
starting load on top of the rest <= twice the nameplate.
Do: a larger or a second supply.
Source: common practice.`, "circuit"},
	{"class-2", "the supply is not good as Class 2", `A supply used as Class 2 is listed or marked so, and within NEC chapter 9 tables 11(A)/(B) (NFPA 70-2017):
100 VA at 24 V. Not stated: cannot tell, whatever its VA.
Do: a listed supply, several of them, or Class 1 wiring.
Source: NEC chapter 9 tables 11(A) and 11(B), 725.121(A) (NFPA 70-2017).`, "circuit"},
	{"mains-range", "the power input does not accept the service", `The service over its ANSI C84.1 range A at the point of use lies inside the device's range (-10/+10 %
of a nominal nameplate).
Do: order for the service, another service, or a transformer.
Source: ANSI C84.1; NEMA MG 1 12.44.`, "circuit"},
	{"phase", "the phases do not agree", `The device takes the phases of the service; line to neutral only where there is a neutral.
Do: order for the service.
Source: the data sheet.`, "circuit"},
	{"terminal-reuse", "one terminal stands in several circuits", `An input, or a controller's terminal, is used once.
Do: a terminal each; a selector or relay where two signals must meet.
Source: common practice.`, "circuit"},
	{"shared-contact", "one contact serves two circuits", `A pole is wetted by one source and read by one reader. A changeover contact serves two when one source
wets both its throws.
Do: a second pole, or a multi-pole relay.
Source: common practice.`, "circuit"},
}

func init() {
	register([]Code{
		{"common-short", "a way through commons shorts a supply", `Searches the network of secondary leads, DC commons, signal commons, shields and earth. A half-wave device
ties its common to one lead; a full-wave one puts a diode from its DC common to either lead. Proves that no
loop of windings is other than zero (dead short), no bridge lies across a winding (short for half of every
cycle), and no DC rail reaches from one phase to another (peak V against sqrt 2 x 24 V).
Do: a separate transformer, isolated signals, or the leads the other way round.
Source: circuit analysis; NEC 725.121(B), 250.20(A) (NFPA 70-2017).`, "circuit"},
		{"common", "the reference of a signal is not right", `A signal between two ends that are not isolated shares its reference, and shares it once: a conductor for
the common, one earth, a shield earthed at one end. A signal that returns through the supply's common is off by
load current x conductor resistance (V, 1 % of the span at most).
Do: pull the common, take one earth off, or use an isolator or 4-20 mA.
Source: common practice.`, "circuit"},
		{"mixed-class", "power-limited and other circuits run together", `No Class 2 circuit lies in a cable, a raceway or a relay housing with Class 1 or power circuits (NEC
725.136, NFPA 70-2017), unless a barrier keeps them apart or everything is wired as Class 1.
Do: a cable, raceway or barriered housing of its own.
Source: NEC 725.136, 725.130(A), 725.48 (NFPA 70-2017).`, "circuit"},
		{"bus-load", "a bus segment does not work out", `Sum of unit loads <= 32; idle bias >= 0.2 V with the nodes and both terminators across it; 120 ohm at both
ends only; 4000 ft at most; addresses unique, masters 0 to 127; highest master as set; few objects polled
(TIA-485-A; ASHRAE 135, clause 9).
Do: a repeater or second trunk, other addresses, terminators at the ends.
Source: TIA-485-A; ASHRAE 135, clause 9.`, "circuit"},
		{"fail-safe", "a safety contact that a cut wire hides", `A safety or shutdown contact is closed while all is well, so that a cut or loose wire acts like the event.
Do: use the normally-closed contact.
Source: common practice.`, "circuit"},
		{"sense", "contact form and polarity contradict each other", `The contact closes on the event and polarity is normal, or it opens and polarity is reverse: the sense is
turned round at most once.
Do: set the polarity, and turn the sense nowhere else.
Source: ASHRAE 135, clause 12.6.`, "circuit"},
		{"action", "the signal acts the wrong way", `Output and input are both direct- or both reverse-acting.
Do: set both alike, and write what 0 V does beside the point.
Source: common practice.`, "circuit"},
		{"fail-value", "a broken signal wire does what the scheme forbids", `What the input does when its wire breaks (%) is what the scheme asks for.
Do: a live zero with a preset speed on loss of the reference.
Source: the data sheet; the scheme.`, "circuit"},
		{"min-command", "the lowest command does not turn the motor", `Lowest speed command as a signal (V or mA) >= the input's run threshold.
Do: set the minimum above the threshold.
Source: the data sheet.`, "circuit"},
		{"two-minima", "two places hold a minimum speed", `The drive's minimum and the automation system's are the same, or only one is set (%).
Do: let one place own it.
Source: common practice.`, "circuit"},
		{"speed-limit", "the drive does not reach the scheduled speed", `Fan speed / motor speed at 60 Hz x 60 Hz <= highest frequency set on the drive (Hz), direct drive.
Do: raise the highest frequency if motor and fan may.
Source: common practice.`, "circuit"},
		{"alarm-delay", "the failure alarm is too hasty", `Alarm delay >= damper stroke + ramp + 10 s (s).
Do: lengthen the delay.
Source: common practice.`, "circuit"},
	})
}

func init() {
	register([]Code{
		{"dissipation", "a resistor gets too hot", `V^2 / R at the highest voltage, or I^2 R of a loop at 21 mA (W), <= what the resistor stands.
Do: more watts or more ohms.
Source: V^2 / R.`, "circuit"},
	})
}

func init() {
	register([]Code{
		{"earthing", "a secondary that has to be earthed is not", `A secondary under 50 V whose primary stands more than 150 V to ground (277 V, 480 V) is earthed.
Do: earth its common lead; a full-wave device on it keeps its DC common floating.
Source: NEC 250.20(A) (NFPA 70-2017).`, "circuit"},
	})
}

func init() {
	register([]Code{
		{"repair-unfinished", "the search for a repair was not ended", `The search for the cheapest repair counts what it judges, the same on every machine, and stops at a limit. A
circuit that was still being searched then, or was not reached, may have a cheaper or better repair than is shown,
or one where none is shown. Its checks are complete all the same.
Do: answer the open questions and mend what is plainly wrong, then plan again; or look for the part by hand.
Source: a limit of this program.`, "repair"},
	})
}
