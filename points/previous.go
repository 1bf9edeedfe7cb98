package points

import (
	"slices"

	"tallywire/model"
)

// keepInstances gives points that were issued before the object instances they
// had, and moves new points out of their way to the next free number.
func keepInstances(plan, previous *model.Plan) {
	if previous == nil {
		return
	}
	type object struct {
		kind     string
		instance int
	}
	before := map[string]*model.Point{}
	for i := range previous.Points {
		before[previous.Points[i].Key] = &previous.Points[i]
	}
	taken := map[object]bool{}
	var fresh []*model.Point
	for i := range plan.Points {
		q := &plan.Points[i]
		if q.Instance == nil {
			continue
		}
		old := before[q.Key]
		if old == nil || old.ObjectType != q.ObjectType || old.Instance == nil {
			fresh = append(fresh, q)
			continue
		}
		n := *old.Instance
		q.Instance = &n
		taken[object{q.ObjectType, n}] = true
	}
	for _, q := range fresh {
		n := *q.Instance
		for taken[object{q.ObjectType, n}] {
			n++
		}
		taken[object{q.ObjectType, n}] = true
		q.Instance = &n
	}
}

// earlierControllers are the controllers of an issued plan.
func earlierControllers(previous *model.Plan) []model.Controller {
	if previous == nil {
		return nil
	}
	return slices.Clone(previous.Controllers)
}
