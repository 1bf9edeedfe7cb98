package exchange

import (
	"bytes"
	"strings"
	"testing"

	"tallywire/model"
)

func TestReadScan(t *testing.T) {
	lib := load(t)
	for form, text := range map[string]string{
		"identifier":      "Scan of 4 Jan\n\nDevice,Device Name,Object Identifier,Object Name,Description,Units,Present Value\n1001,C1,\"binary-output,3\",EF1_SS,Exhaust fan start,,inactive\n",
		"type, instance":  "Device Instance;Object Type;Instance;Object Name;Description\n1001;Binary Output;3;EF1_SS;Exhaust fan start\n",
		"numbers":         "device\tobject type\tobject instance\tname\tdescription\ndevice,1001\t4\t3\tEF1_SS\tExhaust fan start\n",
		"abbreviation":    "dev id,object,point name,desc\n1001,BO3,EF1_SS,Exhaust fan start\n",
		"joined by colon": "deviceId,objectId,objectName,description\n1001,binaryOutput:3,EF1_SS,Exhaust fan start\n",
		"bracketed":       "deviceId,objectId,objectName,description\n1001,\"('binary-output', 3)\",EF1_SS,Exhaust fan start\n",
	} {
		points, found, err := ReadScan(lib, "scan.csv", []byte(text))
		if err != nil || len(found) > 0 || len(points) != 1 {
			t.Errorf("%s: %d points, %v, %v", form, len(points), found, err)
			continue
		}
		p := points[0]
		if p.ObjectType != model.BinaryOutput || p.Instance == nil || *p.Instance != 3 || p.Device == nil || *p.Device != 1001 || p.ObjectName != "EF1_SS" || p.Description != "Exhaust fan start" {
			t.Errorf("%s: %+v", form, p)
		}
	}
	points, found, err := ReadScan(lib, "scan.csv", []byte("device,object,name,units,inactive text,active text,writable\n1,AI1,T,degF,,,n\n1,BI1,S,,Off,On,\n1,device 1,D,,,,\n1,nonsense,X,,,,\n1,AI 999,V,°F,,,y\n1,264:7,W,,,,\n"))
	if err != nil || len(points) != 4 || len(found) != 1 || found[0].Where.Line != 5 || !strings.Contains(found[0].Message, "nonsense") {
		t.Fatalf("%+v %v %v", points, found, err)
	}
	if points[1].States[1] != "On" || points[0].Commandable == nil || *points[0].Commandable || points[2].Units != "degrees-fahrenheit" || points[3].ObjectType != "proprietary-264" {
		t.Errorf("%+v", points)
	}
	for _, bad := range []string{"", "tag,type,cfm\nEF-1,fan,100\n", "\"\n"} {
		if _, _, err := ReadScan(lib, "x", []byte(bad)); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

// TestReadExistingTellsFormsApart by what files hold, whatever their names.
func TestReadExistingTellsFormsApart(t *testing.T) {
	lib, plan := load(t), fansOf(plant(1))
	ede, err := EDE(lib, plan, "B")
	if err != nil {
		t.Fatal(err)
	}
	var brick, hayson, zinc bytes.Buffer
	if err := Brick(&brick, lib, plan); err != nil {
		t.Fatal(err)
	}
	if err := Haystack(&hayson, lib, plan); err != nil {
		t.Fatal(err)
	}
	if err := Zinc(&zinc, lib, plan); err != nil {
		t.Fatal(err)
	}
	for form, files := range map[string][]File{"ede": ede, "brick": {{"a.txt", brick.Bytes()}}, "hayson": {{"a.txt", hayson.Bytes()}}, "zinc": {{"a.txt", zinc.Bytes()}},
		"all": {ede[0], {"b", brick.Bytes()}, {"s.csv", []byte("device,object,name\n1,BO1,x\n")}}} {
		points, _, err := ReadExisting(lib, files)
		want := 60
		if form == "all" {
			want = 121
		}
		if err != nil || len(points) != want {
			t.Errorf("%s: %d points, want %d: %v", form, len(points), want, err)
		}
	}
	if _, _, err := ReadExisting(lib, []File{{"x.csv", []byte("a,b\n")}}); err == nil {
		t.Error("a file of nothing was read")
	}
}

// FuzzReadExisting: whatever the bytes, they are read or refused.
func FuzzReadExisting(f *testing.F) {
	lib := load(f)
	for _, s := range []string{"device,object,name\n1,BO1,x\n", "@prefix b: <https://brickschema.org/schema/Brick#> . b:x a b:Fan_Status .", `{"rows":[{"point":"m:"}]}`, "ver:\"3.0\"\nid,point\n@a,M\n",
		"# keyname;device obj.-instance;object-name;object-type;object-instance\nK1;10;Fan;4;1\n", "object identifier\n(,)\nBO\n1:2:3\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		points, _, err := ReadExisting(lib, []File{{"x", data}})
		if err != nil && points != nil {
			t.Fatal("points and an error")
		}
		for _, p := range points {
			if p.Where == nil {
				t.Fatalf("a point without a place: %+v", p)
			}
		}
	})
}
