package finding

func init() {
	register([]Code{
		{ID: "no-points", Pass: "derive", Title: "a machine gets no points",
			Help: "The machine is out of scope, or its control scheme is not known, so nothing can be planned for it.\nState its kind or scheme in the list or the project file, or leave it out on purpose."},
		{ID: "scheme-contradicts", Pass: "derive", Title: "the scheme asks for what the device cannot do",
			Help: "For instance a variable-speed scheme on an across-the-line starter: the speed reference has nowhere to go.\nAsk the designer which of the two is meant."},
		{ID: "drive-contradicts", Pass: "derive", Title: "a drive on a motor that cannot take one",
			Help: "A variable frequency drive serves three-phase induction motors. An EC motor has its own electronics and a single-phase motor burns on a drive.\nAsk what the submittal shows."},
		{ID: "monitor-only", Pass: "derive", Title: "a life-safety fan is only watched",
			Help: "Stair, hoistway and smoke fans are started and proven by listed equipment of the fire trade. The BAS gets run and trouble.\nA fan that also ventilates in normal times needs the project's word for it."},
		{ID: "control-unknown", Pass: "derive", Title: "what stands between the BAS and the motor is not known",
			Help: "Start and status are planned; speed, hand-off-auto, drive fault and the wiring depend on the device.\nState the control of the machine."},
		{ID: "planning-assumption", Pass: "derive", Title: "something was taken for granted in deriving points",
			Help: "The list or the settings do not say it, so the usual practice was taken. These notes become clarifications of the bid.\nState it in the project file and the note goes away."},
		{ID: "unknown-role", Pass: "derive", Title: "a setting or a rule names a role that does not exist",
			Help: "settings.derive names roles of points, or TAG/role for one machine. A misspelt one would silently do nothing.\n`tallywire library` lists the roles."},
		{ID: "state-texts", Pass: "derive", Title: "state texts do not fit the point",
			Help: "A binary point has two texts, inactive first; a multi-state point has one for every state. The texts in the settings have another number, so the library's were kept."},
		{ID: "name-too-long", Pass: "derive", Title: "an object name is longer than the limit",
			Help: "Field controllers limit object names. A cut name may collide with another, so it is not cut for you.\nShorten the pattern, give the role an abbreviation, or raise settings.naming.max_length."},
		{ID: "name-repeated", Pass: "derive", Title: "two objects have the same name",
			Help: "ASHRAE 135 wants object names unique in their device. Two points of the plan come out with the same name.\nPut {equipment} and {role} into the pattern; keep the characters that tell tags apart."},
		{ID: "name-characters", Pass: "derive", Title: "a name lost characters that are not allowed",
			Help: "Characters outside letters, digits and settings.naming.allowed were replaced in object names.\nAllow them, or accept the replaced names."},
		{ID: "instance-out-of-range", Pass: "derive", Title: "an object instance is out of range",
			Help: "Object instances run from 0 to 4194302; 4194303 means none (ASHRAE 135, clause 12.1).\nLower settings.naming.first_instance."},
		{ID: "alarm-too-fast", Pass: "derive", Title: "the failure alarm comes before the fan can prove",
			Help: "The damper strokes, then the fan ramps up, then the status proves. A shorter delay alarms at every start.\nRaise settings.alarms.start_delay_s, or find a faster actuator."},
		{ID: "no-failure-alarm", Pass: "derive", Title: "a fan that is proven has no failure alarm",
			Help: "The fan has a status, but nothing compares it with a command. With software points off and no output that carries the alarm, a dead fan is not noticed.\nTurn software points on, or accept it."},
	})
}
