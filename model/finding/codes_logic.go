package finding

// The checks of the logic pass: who may start and stop each fan. Each states
// the switches, contacts and commands of a state in which it does not hold.
func init() {
	register([]Code{
		{"stop-authority", "the BAS cannot always stop the fan", `In every state with the selector in AUTO, the BAS start off, the BAS reference at its lowest and no event
active, the fan is off. It fails where a second contact lies parallel to the BAS start.
Do: put the other contact in series, or declare it under exceptions and give the BAS a point that tells it.`, "logic"},
		{"start-authority", "the BAS cannot start the fan by itself", `There is a state in AUTO with the BAS start on, no event active and the fan running; if it needs a further
contact, that contact is named.
Do: look for a permissive that waits for the fan itself or a contact that nobody closes.`, "logic"},
		{"start-logic", "start and speed reference", `A device declares whether start and reference must both be there (gates-speed) or either runs the fan (or).
Under "or" an open start with the reference at the run threshold leaves the fan running.
Do: sequence rule "reference to 0 % on stop". Undeclared: ask for the data sheet.`, "logic"},
		{"latch-loop", "an interlock loop holds itself on", `Status of A starts B and B starts A: once set, nobody can stop them. Tells what sets it and what holds it.
Do: let one fan lead, start the other from the command, or break the loop with a permissive of the BAS.`, "logic"},
		{"deadlock-loop", "an interlock loop can never start", `A waits for B and B waits for A: from all-off neither starts, in any state.
Do: open the damper on the command, prove it by its switch; start on the command, continue on the status.`, "logic"},
		{"override-first", "an override does not decide in every state", `Whatever the selector and the BAS say, the fan does what the fire matrix asks of it. Disconnect, overload and
protection inside the motor stand above; healthy safeties are taken as made.
Do: common leg for a stop, an override input for a run.`, "logic"},
		{"override-reach", "an override does not reach what it must", `A fan that the fire matrix stops or runs has a circuit for it, and the damper of a fan that fire runs opens
without the BAS.
Do: a fire relay at the fan; the damper on the fan's own contact.`, "logic"},
		{"override-unseen", "the BAS cannot see the override", `The BAS has a point that tells that an override acts, so that it neither alarms nor fights it.
Do: a spare pole of the relay that energises the override, landed as override-active.`, "logic"},
		{"hand-hidden", "the BAS cannot see the selector", `A selector that can leave AUTO has a point not-in-auto.
Do: land an auxiliary contact of the selector.`, "logic"},
		{"status-is-command", "the status follows the command", `A contact that follows the command says "told to run". A failed motor or a broken belt still reads running:
a caution, and a fault where the scheme needs proof (smoke, laboratory, make-up air).
Do: current switch, pressure switch, or a drive relay set to motor current.`, "logic"},
		{"false-alarm", "an alarm comes without a failure", `Failed-to-run is held back in override, hand and off and during the start delay; running-while-off only by
override and coast-down, never by hand.
Do: a point that tells the state, named among what inhibits the alarm.`, "logic"},
		{"damper-lag", "the fan blows against its damper", `Stroke of the damper (s) against the soft start of the fan (s), unless an end switch proves it before the start.
Do: slower soft start, faster actuator, or a start that waits for the end switch.`, "logic"},
		{"safety-bypass", "a safety does not act in every mode", `A tripped safety stops the fan in auto, hand and bypass, by wire.
Do: the common leg of the control circuit; on a drive with bypass the safety inputs of both.`, "logic"},
		{"fire-row", "the row of the fire matrix", `Every fan has exactly one row: stop, run, continue or none. Stair, hoistway, smoke, hood and laboratory fans
stay out of the global stop.
Do: fill the fire response; one question to the fire trade answers all.`, "logic"},
		{"logic-unknown", "nothing is known of the fan's command logic", `No device with declared command logic stands between the BAS and the fan.
Do: state the control, or add logic to the device's record.`, "logic"},
		{"interlock-direction", "an interlock without a direction", `The list says that two fans are interlocked; which leads, and whether by wire or by sequence, is assumed.
Do: state it under interlocks in the project file.`, "logic"},
		{"interlock-unknown", "an interlock that names nothing known", `An interlock's ends are tags of the list; it may come from an event of the library; what it does is start,
stop, permit, follow, full-speed, open or close.
Do: correct the name.`, "logic"},
	})
}
