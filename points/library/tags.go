package library

import (
	"slices"
	"strings"

	"tallywire/model"
)

// Tag is how a point of a role, or a machine of a kind, is called in open
// models of buildings.
type Tag struct {
	ID       string   `json:"id"`       // role or kind
	Of       string   `json:"of"`       // point, equipment
	Brick    string   `json:"brick"`    // class of Brick: Start_Stop_Command
	Also     []string `json:"also"`     // classes that other models use for the same
	Haystack []string `json:"haystack"` // markers of Haystack besides point or equip
	Custom   []string `json:"custom"`   // markers of our own where Haystack has none
	Words    []string `json:"words"`    // how names of existing points put it, the surest first
	Source   string   `json:"source"`
	Placed
}

// RecordID returns the id of the role or kind.
func (t Tag) RecordID() string { return t.ID }

// BrickClass is a class of Brick with one of its parents.
type BrickClass struct {
	ID     string
	Parent string // "" a root, or not held here
	Source string
}

// Tags are the names in open models.
type Tags struct {
	list    []Tag
	byID    map[string]int
	classes map[string]BrickClass
}

// Point returns the names of a role; a numbered role (gas-co-2) has those of
// its kind.
func (t *Tags) Point(role string) (Tag, bool) {
	one, ok := t.at(role)
	if i := strings.LastIndexByte(role, '-'); !ok && i > 0 {
		one, ok = t.at(role[:i])
	}
	return one, ok && one.Of == "point"
}

// Machine returns the names of a kind.
func (t *Tags) Machine(kind string) (Tag, bool) {
	one, ok := t.at(kind)
	return one, ok && one.Of == "equipment"
}

func (t *Tags) at(id string) (Tag, bool) {
	i, ok := t.byID[id]
	if !ok {
		return Tag{}, false
	}
	return t.list[i], true
}

// All lists the records in the order of the library.
func (t *Tags) All() []Tag { return t.list }

// Class returns a class of Brick.
func (t *Tags) Class(id string) (BrickClass, bool) {
	c, ok := t.classes[id]
	return c, ok
}

// Roles lists the roles that a class of Brick stands for, in the order of the
// library: the commonest role of a fan comes first.
func (t *Tags) Roles(class string) []string {
	var out []string
	for _, one := range t.list {
		if one.Of == "point" && (one.Brick == class || slices.Contains(one.Also, class)) {
			out = append(out, one.ID)
		}
	}
	return out
}

func (l *Library) loadTags(own []model.LibraryFile) error {
	records, err := load[Tag]("tags", own)
	if err != nil {
		return err
	}
	l.Tags = &Tags{list: records, byID: map[string]int{}, classes: map[string]BrickClass{}}
	for i, one := range records {
		l.Tags.byID[one.ID] = i
	}
	return eachRow("tags/brick-classes.tsv", func(c cells) error {
		one := BrickClass{c.text("id"), c.optional("parent"), c.text("source")}
		l.Tags.classes[one.ID] = one
		return nil
	})
}
