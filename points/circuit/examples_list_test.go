package circuit

import (
	"strings"
	"testing"

	"tallywire/model"
	"tallywire/model/finding"
)

// Every code of this pass has an example; the failing one fails by that code
// and the passing one has nothing to say at all.
func TestExamples(t *testing.T) {
	b := onBench(t)
	have := map[string]bool{}
	for _, e := range Examples() {
		have[e.Code] = true
		failing := Check(b.lib, &b.p, e.Failing)
		found := false
		for _, f := range failing.Findings {
			found = found || f.Code == e.Code
			if f.Code == e.Code && (f.Fix == "" || f.Message == "") {
				t.Errorf("%s: a finding without words or without a fix: %+v", e.Code, f)
			}
		}
		if !found {
			t.Errorf("%s: %s: no such finding; %+v", e.Code, e.Fails, failing.Findings)
		}
		passing := Check(b.lib, &b.p, e.Passing)
		asked := false
		for _, c := range passing.Circuits {
			for _, k := range c.Checks {
				asked = asked || k.Code == e.Code
				if k.Verdict != model.Pass && k.Code == e.Code {
					t.Errorf("%s: %s: %s", e.Code, e.Passes, k.Text)
				}
			}
		}
		if len(passing.Findings) > 0 {
			t.Errorf("%s: %s: %+v", e.Code, e.Passes, passing.Findings)
		}
		if !asked && e.Code != "terminal-reuse" && e.Code != "shared-contact" {
			t.Errorf("%s: the passing example does not ask it", e.Code)
		}
	}
	for _, c := range finding.Codes() {
		if c.Pass == "circuit" && !have[c.ID] {
			t.Errorf("no example of %s", c.ID)
		}
	}
}

// The help of every code of this pass says what is done about it and where its
// figures come from.
func TestHelpIsWhole(t *testing.T) {
	for _, c := range finding.Codes() {
		if c.Pass == "circuit" && (!strings.Contains(c.Help, "\nDo: ") || !strings.Contains(c.Help, "\nSource: ")) {
			t.Errorf("%s: %q", c.ID, c.Help)
		}
	}
	for _, q := range questions {
		if _, ok := finding.Lookup(q.code); !ok {
			t.Errorf("the question %s has no code", q.code)
		}
	}
}
