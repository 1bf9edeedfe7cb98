package finding

func init() {
	register([]Code{
		{ID: "no-hookup", Pass: "hookup", Title: "a hardwired point without a wire",
			Help: "The point is on the list and no circuit carries it: no hook-up joins its role to a device of this machine,\nor the device that was chosen has no terminal for it. Nothing can be checked or landed.\nChoose another device type, state the circuit in the project file (circuits:), or take the point off."},
		{ID: "device-assumed", Pass: "hookup", Title: "a device was chosen on an assumption",
			Help: "The list does not say what the choice of this device type rests on (damper volts, motor type, the fire\nsystem's volts). The common one was taken. The data sheet of what is bought decides;\nstate the value in the list, or the type in the project file (devices:)."},
		{ID: "interlock-without-wire", Pass: "hookup", Title: "an interlock by wire that has no circuit",
			Help: "The project states that one machine acts on another by wire (interlocks: hard: true), and no circuit could be made: the\nfirst has no contact that tells it, or the second no free input. The labour of such a wire is the usual hole in a bid."},
		{ID: "unknown-device-type", Pass: "hookup", Title: "a device type that nobody knows",
			Help: "The project file or the list names a device type that is neither in the library nor among the project's own.\n`library devices` lists the ids."},
		{ID: "device-override-unmatched", Pass: "hookup", Title: "limits stated for a device that is not there",
			Help: "The project file sets limits of a device (devices:) and the plan has no device of that id. Ids are TAG/role:\nEF-1/box, EF-1/damper, EF-1/motor. State a type as well to add a device."},
		{ID: "circuit-override-unmatched", Pass: "hookup", Title: "a stated circuit that is not there",
			Help: "The project file removes or restates a circuit (circuits:) and the plan has none of that id. A circuit that\ncarries a point has the point's key (EF-1/start); others are TAG/purpose (EF-1/damper-power)."},
		{ID: "circuit-end-unknown", Pass: "hookup", Title: "a stated circuit that ends nowhere",
			Help: "A circuit of the project file names a device or a terminal that does not exist, so it was not made.\nDevices are TAG/role; terminals are those of the device type (`library TYPE` lists them)."},
	})
}
