//go:build conformance

package exchange

// Where other implementations differ from our tables: by number, with their
// name, "" where they have none. Numbers never mean two things; what differs
// are former names, abbreviations, slips, and what was added late. Releases:
// @bacnet-js/client 3.3.2, tshark 4.0.17.
var (
	npmTypes = []difference{
		{60, ""},
		{61, ""},
		{62, ""},
		{63, ""},
		{64, ""},
	}
	npmEvents = []difference{
		{7, ""},
	}
	npmProperties = []difference{
		{498, ""},
		{499, ""},
		{500, ""},
		{501, ""},
		{507, ""},
	}
	npmUnits = []difference{
		{63, "degrees-kelvin"},
		{121, "delta-degrees-kelvin"},
		{122, "kilohms"},
		{123, "megohms"},
		{127, "joules-per-degree-kelvin"},
		{128, "joules-per-kilogram-degree-kelvin"},
		{141, "watts-per-square-meter-degree-kelvin"},
		{151, "kilojoules-per-degree-kelvin"},
		{152, "megajoules-per-degree-kelvin"},
		{176, "volts-per-degree-kelvin"},
		{181, "degrees-kelvin-per-hour"},
		{182, "degrees-kelvin-per-minute"},
		{189, "watts-per-meter-per-degree-kelvin"},
		{236, "minutes-per-degree-kelvin"},
		{247, "joule-per-hours"},
	}
	tsharkTypes = []difference{
		{41, "date-pattern-value"},
		{43, "datetime-pattern-value"},
		{49, "time-pattern-value"},
	}
	tsharkEvents = []difference{
		{7, "(deprecated)buffer-ready"},
	}
	tsharkProperties = []difference{
		{0, "acked-transition"},
		{5, "active-vt-session"},
		{23, "datelist"},
		{24, "daylights-savings-status"},
		{122, "vt-class-supported"},
		{130, "event-time-stamp"},
		{400, "bacnet-ip-address"},
		{401, "bacnet-ip-default-gateway"},
		{402, "bacnet-ip-dhcp-enable"},
		{403, "bacnet-ip-dhcp-lease-time"},
		{404, "bacnet-ip-dhcp-lease-time-remaining"},
		{405, "bacnet-ip-dhcp-server"},
		{406, "bacnet-ip-dns-server"},
		{411, "bacnet-ip-subnet-mask"},
		{489, "subordinate-relationship"},
	}
	tsharkUnitNames = []difference{
		{0, "sq-meters"},
		{1, "sq-feet"},
		{23, "joules-per-kg-dry-air"},
		{29, "relative-humidity"},
		{33, "feed"},
		{34, "watts-per-sq-foot"},
		{35, "watts-per-sq-meter"},
		{37, "lux"},
		{42, "kgs-per-second"},
		{43, "kgs-per-minute"},
		{44, "kgs-per-hour"},
		{47, "watt"},
		{63, "degrees-kelvin"},
		{76, "feed-per-second"},
		{104, "revolutions-per-min"},
		{115, "sq-inches"},
		{116, "sq-centimeters"},
		{121, "delta-degrees-kelvin"},
		{122, "kilohms"},
		{123, "megohms"},
		{125, "kilojoules-per-kg"},
		{127, "joules-per-degree-kelvin"},
		{128, "joules-per-kg-degree-kelvin"},
		{137, "kwatt-hours-per-square-meter"},
		{138, "kwatt-hours-per-square-foot"},
		{141, "watts-per-sq-meter-degree-kelvin"},
		{143, "percent-obstruction-per-foot"},
		{144, "percent-obstruction-per-meter"},
		{151, "kilojoules-per-degree-kelvin"},
		{152, "megajoules-per-degree-kelvin"},
		{176, "volts-per-degree-kelvin"},
		{181, "degrees-kelvin-per-hour"},
		{182, "degrees-kelvin-per-minute"},
		{189, "watts-per-meter-per-degree-kelvin"},
		{190, "micro-siemens"},
		{236, "minutes-per-degree-kelvin"},
		{247, "joule-per-hours"},
	}
)
