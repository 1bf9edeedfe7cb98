package points_test

import (
	"strings"
	"testing"

	"tallywire/model"
)

// The least airflow of a burner and the outlet area of a stack are columns of a
// list; both are held against the lowest speed.
func TestListCarriesBurnerAndStack(t *testing.T) {
	for _, c := range []struct{ speed, burner, stack string }{{"50", "1600", "3"}, {"70", "1600", "2"}} {
		_, plan := planned(t, "Tag,Kind,CFM,HP,Volts,Phase,Control,Min speed (%),Burner min CFM,Stack area (ft2)\n"+
			"MAU-1,make-up-air-unit,2700,3,460,3,VFD,"+c.speed+","+c.burner+",\n"+
			"LEF-1,lab-exhaust-fan,12000,10,460,3,VFD,"+c.speed+",,"+c.stack+"\n", model.Project{Settings: model.Settings{Derive: model.DeriveSettings{Without: []string{"bypass-damper"}}}})
		told := map[string]string{}
		for _, f := range plan.Findings {
			if f.Code == "burner-airflow" || f.Code == "stack-velocity" {
				told[f.Code] = f.Subject + ": " + f.Message
			}
		}
		bad := c.speed == "50"
		if strings.Contains(told["burner-airflow"], "MAU-1: its burner trips at the lowest speed") != bad || strings.Contains(told["stack-velocity"], "= 2000 ft/min") != bad || !bad && len(told) > 0 {
			t.Errorf("at %s %%: %v", c.speed, told)
		}
	}
}
