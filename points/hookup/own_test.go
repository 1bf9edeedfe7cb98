package hookup

import (
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/points/library"
)

// TestOwnRecords: a user's hook-up and device type go before the built-in
// ones, and a slip in them is told with line and nearest word.
func TestOwnRecords(t *testing.T) {
	devices := model.LibraryFile{Subject: "devices", File: "own.yaml", Text: []byte(`records:
  - id: paddle
    name: Paddle switch
    category: switch
    source: data sheet
    terminals:
      - {id: p, function: status, nature: contact, drives: true, form: normally-open, min_load: {amps: 0.001}}
`)}
	hookups := model.LibraryFile{Subject: "hookups", File: "ours.yaml", Text: []byte(`records:
  - id: paddle-status
    name: Status by paddle
    source: our standard
    match: {controls: [fan-interface-box]}
    devices:
      - {role: paddle, choices: [{type: paddle}]}
    circuits:
      - purpose: status
        point: status
        drive: {device: paddle, functions: [status]}
        accepts: [{controller: true}]
        run: contact
`)}
	lib, err := library.Load([]model.LibraryFile{devices, hookups})
	if err != nil {
		t.Fatal(err)
	}
	r := Connect(lib, &model.Project{}, []model.Equipment{fan("EF-1", "fan-interface-box", "exhaust-constant", 120, 1)}, hardwired(t, lib, "EF-1", "start", "status"))
	if c := circuitOf(t, r, "EF-1/status"); c.Drive != (model.End{Device: "EF-1/paddle", Terminal: "p"}) || c.Rule != "paddle-status" {
		t.Errorf("%+v", c)
	}
	if c := circuitOf(t, r, "EF-1/start"); c.Accepts[0].Device != "EF-1/box" {
		t.Errorf("the rest stays: %+v", c)
	}
	hookups.Text = []byte(strings.Replace(string(hookups.Text), "purpose: status", "porpose: status", 1))
	if _, err := library.Load([]model.LibraryFile{devices, hookups}); err == nil || !strings.Contains(err.Error(), "ours.yaml:9") || !strings.Contains(err.Error(), `did you mean "purpose"`) {
		t.Errorf("error %v", err)
	}
}
