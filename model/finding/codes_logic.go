package finding

// The checks of the logic pass: who may start and stop each fan. Each states
// the switches, contacts and commands of a state in which it does not hold.
func init() { register(logicCodes) }

var logicCodes = []Code{
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
	{"hunting-loop", "an interlock loop never settles", `There are inputs under which a loop of interlocks has no stable state: it starts and stops itself. Looked for
in loops of up to 16 inputs and loop wires together.
Do: let one fan lead, or hold the decision until it is reset.`, "logic"},
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
}

// Further checks of the logic pass: fire and smoke, status proof, dampers, gas
// and make-up air, and what several fans share.
func init() {
	register([]Code{
		{"override-conflict", "two events ask opposite things", `Names the events that run and stop one fan, and which wins when both act.
Do: have the authority confirm it; the firefighters' panel outranks both.`, "logic"},
		{"override-release", "what happens when an override lets go", `Returns to its mode, restarts, or stays off until reset. Not declared is not known; restarting all at once
loads the building.
Do: state release of the override input.`, "logic"},
		{"burner-airflow", "the burner loses its air", `Airflow x lowest speed (cfm) >= the least airflow that the burner's maker states, a column of the list.
Do: raise the lowest speed at the drive and in the BAS.`, "logic"},
		{"stack-velocity", "a laboratory stack at low speed", `Airflow x lowest speed / outlet area (ft/min) >= 3,000, unless a bypass damper keeps the flow of the stack up. The
outlet area is a column of the list.
Do: higher lowest speed, smaller nozzle, bypass damper.`, "logic"},
		{"restart-stagger", "the order of restarts", `When power returns the BAS starts its fans one after another, settings.restart.stagger_s (s) apart, in the order of
settings.restart.order, then fans on emergency power, then those that others follow.
Do: state both after the generator's load steps.`, "logic"},
		{"smoke-control-listing", "a controller in the way of smoke control", `A controller that starts, stops or sets the speed of a smoke-control fan has to be listed for it. Nothing is taken to be
listed that settings.fire.smoke_control_listings does not name; what it names is printed, not checked.
Do: take the fan's command out of the BAS, or state item, listing and who states it.`, "logic"},
		{"series-safety", "a safety stands in the way of smoke control", `With the firefighters' panel or the smoke demand on, no freezestat, pressure switch or duct detector keeps the
fan off.
Do: an override relay around the named safeties alone.`, "logic"},
		{"smoke-response", "smoke control is too slow", `Relay (1 s) + damper stroke + ramp (s) <= settings.fire.response_limit_s. Not stated figures are not known.
Do: faster actuator, shorter ramp.`, "logic"},
		{"energise-to-act", "a fire circuit that must be energised", `A wire that must be energised to act has to be supervised; one that drops out need not.
Do: state settings.fire.energise_to_act and settings.fire.supervised; one question for all.`, "logic"},
		{"fire-relay", "rating and place of the fire relay", `Contact rating against what it switches, and within 3 ft of the controlled equipment.
Do: ask the fire trade once for all.`, "logic"},
		{"intake-smoke", "smoke at the intake of a shaft fan", `A stair or hoistway fan is stopped by smoke at its intake, and the firefighters' panel can start it again.
Do: state both interlocks, or see the fire trade's drawings.`, "logic"},
		{"water-flow", "large ceiling fans and sprinklers", `A high-volume fan stops on sprinkler water flow by wire, with the controller down as well.
Do: a fail-safe relay into its stop input.`, "logic"},
		{"status-never-trips", "the current switch never trips", `Full-load current (A) >= 1.5 times the lowest trip of the switch.
Do: turns of the motor lead through it, or a low-range switch.`, "logic"},
		{"status-at-low-speed", "the status is lost at the lowest speed", `Affinity laws: pressure x speed^2, current of an electronic motor x speed^3, an induction motor on a drive keeps
about 35 % of its current; against the trip of the switch.
Do: lower range, more turns, a drive relay on motor current.`, "logic"},
		{"status-place", "the current switch sits before the drive", `A current switch on the line side of a drive sees standby and rectifier current.
Do: put it on the load side, rated for a drive's output.`, "logic"},
		{"status-shared", "one status for several fans", `One sensing device proves one motor.
Do: one sensor for each motor.`, "logic"},
		{"bypass-unseen", "the BAS cannot see the bypass", `A drive with bypass has a point bypass-active.
Do: land its contact, take the status after the bypass.`, "logic"},
		{"one-way-alarm", "only one direction of mismatch is alarmed", `Commanded on and not running, commanded off and running: both are alarmed.
Do: add running-while-off with a longer delay.`, "logic"},
		{"alarm-too-early", "the failure alarm comes at every start", `Alarm delay (s) >= damper stroke + ramp + 10 s margin.
Do: a longer delay for this motor.`, "logic"},
	})
}

func init() {
	register([]Code{
		{"damper-dead-head", "the fan runs against its shut damper", `There is no state, in any mode, in which the fan runs and its damper is shut.
Do: the damper on the fan's own contact, or its end switch as a permissive in every mode.`, "logic"},
		{"end-switch", "what an end switch proves", `It makes at 80 % open or more; a switch in the actuator does not prove the blades of a large damper.
Do: state made_at_percent; a blade switch for each section.`, "logic"},
		{"damper-power-branch", "the damper has no power when the fan must run", `A fan on emergency power has a damper that springs open or is on the same branch.
Do: spring-open, power-close.`, "logic"},
		{"controller-branch", "the controller has no power when the fan must run", `The controller panel of a fan on emergency power is on it too.
Do: same branch, or a supply that bridges the gap.`, "logic"},
		{"gas-full-flow", "gas does not give full flow in every state", `With gas above the level, or its panel in fault, the garage fan runs at full flow whatever the BAS commands.
Do: the panel's relay on the full-speed input.`, "logic"},
		{"gas-minimum", "the standby flow of the garage is not reached", `Airflow x lowest speed / area >= 0.05 cfm/ft2 (IMC 404.2).
Do: raise the lowest speed, or stage.`, "logic"},
		{"make-up-follows-exhaust", "make-up air runs without its exhaust", `In no state does make-up air run while no exhaust that it makes up moves air.
Do: start by the command, continue by a real status.`, "logic"},
		{"make-up-both-ways", "make-up air and exhaust wait for each other", `The exhaust leads; make-up air follows. Both ways is a loop.
Do: alarm the exhaust on failure of make-up air, do not stop it.`, "logic"},
		{"suppression", "what hood suppression does", `Exhaust goes on, make-up air stops.
Do: two poles with the right senses; witness the test.`, "logic"},
		{"restart-policy", "what happens when power returns", `Each fan's return is stated, and the BAS starts them one after another.
Do: state on_power_return.`, "logic"},
		{"fail-state", "what a lost wire or lost power does", `A damper of a fan that fire runs fails open; a garage fan does not stop for a broken speed wire.
Do: spring-open; live zero with a preset on loss.`, "logic"},
		{"interlock-depth", "a long chain of starts", `Starts hang on each other at most two deep.
Do: start side by side from one command.`, "logic"},
		{"one-loop", "two loops on one pressure", `One pressure of one space is held by one loop.
Do: relief holds the building, the return fan a flow offset.`, "logic"},
		{"life-safety-priority", "an operator outranks life safety", `Life-safety commands write at priority 1 or 2, above the operator's 8.
Do: a priority table in the hand-off.`, "logic"},
		{"sensor-range", "sensor and input are scaled differently", `What the sensor measures at the ends of its signal is what the input is scaled to.
Do: one range.`, "logic"},
		{"sensor-fineness", "the sensor is too coarse for what it holds", `Accuracy (1 % of range) <= a fifth of the set point.
Do: a smaller range.`, "logic"},
		{"backspin", "primary air turns a series fan backwards", `The primary damper is shut for 30 to 60 s before the fan of a series terminal starts.
Do: state the interlock of the terminal on itself.`, "logic"},
		{"proof-skipped", "a network start skips the damper proof", `Damper proof inside a drive works with a wired start only.
Do: wire the start.`, "logic"},
		{"point-owner", "who owns the points of a factory unit", `Each point of a factory-controlled unit has one owner and one source.
Do: an owner column; the protocol option on the order.`, "logic"},
		{"standby-handover", "the standby fan does not take over", `When the duty fan fails, the standby fan runs in every state in AUTO, and a real status tells the failure.
Do: start on the failure alone.`, "logic"},
		{"logic-unknown", "nothing is known of the fan's command logic", `No device with declared command logic stands between the BAS and the fan.
Do: state the control, or add logic to the device's record.`, "logic"},
		{"interlock-direction", "an interlock without a direction", `The list says that two fans are interlocked; which leads, and whether by wire or by sequence, is assumed.
Do: state it under interlocks in the project file.`, "logic"},
		{"interlock-unknown", "an interlock that names nothing known", `An interlock's ends are tags of the list; it may come from an event of the library; what it does is start,
stop, permit, follow, full-speed, open or close.
Do: correct the name.`, "logic"},
	})
}
