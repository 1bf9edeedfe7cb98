package schemas

import (
	"fmt"
	"slices"

	"go.yaml.in/yaml/v3"
)

// mostValues is how many values a file may hold once its aliases are written
// out: more than any list of a building, less than what fills a machine.
const mostValues = 5_000_000

// follow puts in the place of every alias what it stands for, and of every
// merge (<<) the keys that it brings.
func (d *Document) follow() Faults {
	w := &written{d: d, size: map[*yaml.Node]int{}, open: map[*yaml.Node]bool{}}
	total := w.out(d.root)
	if len(w.faults) == 0 && w.aliases && total > mostValues {
		w.faults = append(w.faults, Fault{Where: d.at(d.root), Message: fmt.Sprintf("the aliases of this file stand for more than %d values", mostValues)})
	}
	return w.faults
}

// written follows aliases and counts what they come to.
type written struct {
	d       *Document
	size    map[*yaml.Node]int
	open    map[*yaml.Node]bool // nodes on the way down
	aliases bool
	faults  Faults
}

// out settles a node and returns how many values it stands for, mostValues+1
// at most.
func (w *written) out(n *yaml.Node) int {
	if size, done := w.size[n]; done {
		return size
	}
	w.open[n] = true
	size := 1
	for i, c := range n.Content {
		if c.Kind == yaml.AliasNode {
			w.aliases = true
			if w.open[c.Alias] {
				w.faults = append(w.faults, Fault{Where: w.d.at(c), Message: fmt.Sprintf("*%s stands inside what it stands for", c.Value)})
				continue
			}
			n.Content[i] = c.Alias
			c = c.Alias
		}
		size = min(size+w.out(c), mostValues+1)
	}
	delete(w.open, n)
	if n.Kind == yaml.MappingNode {
		w.merge(n)
	}
	w.size[n] = size
	return size
}

// merge writes out the << of a mapping: keys of its own win, then the mapping
// named first.
func (w *written) merge(n *yaml.Node) {
	i := 0
	for ; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Tag == "!!merge" {
			break
		}
	}
	if i+1 >= len(n.Content) {
		return
	}
	sources := []*yaml.Node{n.Content[i+1]}
	if sources[0].Kind == yaml.SequenceNode {
		sources = sources[0].Content
	}
	n.Content = slices.Concat(n.Content[:i], n.Content[i+2:])
	for _, s := range sources {
		if s.Kind != yaml.MappingNode {
			w.faults = append(w.faults, Fault{Where: w.d.at(s), Message: "<< takes in a group of keys, or a list of such groups"})
			continue
		}
		for j := 0; j+1 < len(s.Content); j += 2 {
			if child(n, s.Content[j].Value) == nil {
				n.Content = append(n.Content, s.Content[j], s.Content[j+1])
			}
		}
	}
}
