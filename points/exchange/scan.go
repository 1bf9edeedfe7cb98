package exchange

import (
	"fmt"
	"strconv"
	"strings"

	"tallywire/model"
	"tallywire/model/finding"
	"tallywire/points/library"
)

// scanHeadings are the columns of object scans by their letters, as discovery
// tools and integrators head them (common practice).
var scanHeadings = map[string]string{
	"device": "device", "deviceinstance": "device", "deviceid": "device", "devid": "device", "deviceobjectinstance": "device", "deviceobjinstance": "device", "deviceidentifier": "device",
	"devicename": "device name", "controller": "device name",
	"object": "object", "objectid": "object", "objectidentifier": "object", "bacnetobject": "object", "bacnetid": "object", "identifier": "object",
	"objecttype": "type", "type": "type", "objtype": "type",
	"instance": "instance", "objectinstance": "instance", "objinstance": "instance", "instancenumber": "instance",
	"objectname": "name", "name": "name", "pointname": "name", "point": "name",
	"description": "description", "desc": "description",
	"units": "units", "unit": "units", "engineeringunits": "units",
	"states": "states", "statetext": "states", "statetexts": "states", "inactiveactivetext": "states",
	"inactivetext": "inactive", "activetext": "active",
	"equipment": "equipment", "equip": "equipment", "tag": "equipment",
	"address": "address", "terminal": "address",
	"commandable": "commandable", "writable": "commandable", "settable": "commandable",
}

// ReadScan reads a scan of BACnet objects: a table with a heading row anywhere
// near its top and one row an object. Type and instance may stand in columns
// of their own or as one identifier. Rows that tell no object are told in
// findings; an error says that there is no heading row.
func ReadScan(lib *library.Library, file string, data []byte) ([]model.ExistingPoint, []finding.Finding, error) {
	rows, err := delimited(data)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", file, err)
	}
	at := map[string]int{}
	start := -1
	const nearTop = 30
	for i, r := range rows[:min(len(rows), nearTop)] {
		found := map[string]int{}
		for j, c := range r.cells {
			if what := scanHeadings[letters(c)]; what != "" {
				if _, twice := found[what]; !twice {
					found[what] = j
				}
			}
		}
		_, whole := found["object"]
		_, typed := found["type"]
		_, numbered := found["instance"]
		if whole || typed && numbered {
			at, start = found, i
			break
		}
	}
	if start < 0 {
		return nil, nil, fmt.Errorf("%s: no heading row names objects: a scan has columns such as object identifier, or object type and instance, and object name", file)
	}
	var out []model.ExistingPoint
	var found []finding.Finding
	for _, r := range rows[start+1:] {
		p, problem := scanned(lib, r, at)
		if problem != "" {
			found = append(found, finding.Finding{Code: "existing-odd", Severity: finding.Caution, Where: &finding.Where{File: file, Line: r.line}, Message: problem + "; the row is left out"})
			continue
		}
		if p.ObjectType == "device" {
			continue
		}
		p.Where = &model.Where{File: file, Line: r.line}
		out = append(out, p)
	}
	return out, found, nil
}

func scanned(lib *library.Library, r textRow, at map[string]int) (model.ExistingPoint, string) {
	cell := func(what string) string {
		if i, ok := at[what]; ok && i < len(r.cells) {
			return r.cells[i]
		}
		return ""
	}
	p := model.ExistingPoint{DeviceName: cell("device name"), ObjectName: cell("name"), Description: cell("description"), Equipment: cell("equipment"), Address: cell("address")}
	if id := cell("object"); id != "" {
		p.ObjectType, p.Instance = identifier(lib, id)
	} else {
		p.ObjectType, p.Instance = identifier(lib, cell("type")+","+cell("instance"))
	}
	if p.ObjectType == "" || p.Instance == nil {
		return p, fmt.Sprintf("%q names no object", strings.Trim(strings.Join([]string{cell("object"), cell("type"), cell("instance")}, " "), " "))
	}
	if text := cell("device"); text != "" {
		if n, err := strconv.Atoi(text); err == nil && n >= 0 {
			p.Device = &n
		} else if _, n := identifier(lib, text); n != nil { // device,1001
			p.Device = n
		} else if p.DeviceName == "" {
			p.DeviceName = text
		}
	}
	if u, ok := lib.Units.Written(cell("units")); ok {
		p.Units = u.ID
	}
	if text := cell("states"); text != "" {
		for _, s := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune("/|;,", c) }) {
			p.States = append(p.States, strings.TrimSpace(s))
		}
	}
	if off, on := cell("inactive"), cell("active"); off != "" && on != "" {
		p.States = []string{off, on}
	}
	if takes, stated := yes(cell("commandable")); stated {
		p.Commandable = &takes
	}
	return p, ""
}

// ReadExisting reads the points of an existing building from a file of any
// form this package knows, told by what it holds: EDE, a Brick model, a
// Haystack grid, an object scan.
func ReadExisting(lib *library.Library, files []File) ([]model.ExistingPoint, []finding.Finding, error) {
	var out []model.ExistingPoint
	var found []finding.Finding
	var set []File
	for _, f := range files {
		points, told, err := []model.ExistingPoint(nil), []finding.Finding(nil), error(nil)
		switch head := strings.TrimSpace(asText(f.Text[:min(len(f.Text), 4096)])); {
		case edeKind(f) != "" && !strings.Contains(letters(head), "objectidentifier"):
			set = append(set, f)
			continue
		case strings.HasPrefix(head, "{") || strings.HasPrefix(head, "[{") || strings.HasPrefix(head, "ver:"):
			points, err = ReadHaystack(lib, f.Name, f.Text)
		case strings.Contains(head, "@prefix") || strings.HasSuffix(strings.ToLower(f.Name), ".ttl"):
			points, err = ReadBrick(lib, f.Name, f.Text)
		default:
			points, told, err = ReadScan(lib, f.Name, f.Text)
		}
		if err != nil {
			return nil, nil, err
		}
		out, found = append(out, points...), append(found, told...)
	}
	if len(set) > 0 {
		points, told, err := ReadEDE(lib, set)
		if err != nil {
			return nil, nil, err
		}
		out, found = append(out, points...), append(found, told...)
	}
	return out, found, nil
}
