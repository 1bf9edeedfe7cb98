package finding

func init() {
	register([]Code{
		{ID: "no-device", Pass: "network", Title: "an object without a device",
			Help: "Every object lives in a device on the network. The point is not landed on a controller, its machine and system carry no landed point either,\nor it comes over the network and the machine has no device of its own in the plan. It is left out of network exports."},
		{ID: "device-instance-repeated", Pass: "network", Title: "one device instance for two devices",
			Help: "A device instance must be the only one on the whole internetwork, not just on its trunk. Two devices of the plan state the same one."},
		{ID: "device-instance-range", Pass: "network", Title: "a device instance that cannot be",
			Help: "Device instances run from 0 to 4194302. 4194303 means 'any device' and can be given to none."},
	})
}
