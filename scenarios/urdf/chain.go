package urdf

import (
	"fmt"
	"slices"
	"strings"

	"handrule/scenarios/form"
)

// chain is the arm among a file's links: six joints that turn, from the base to the flange, and fixed ones between them.
type chain struct {
	base, flange *link
	joints       [6]*joint
}

// findChain finds the arm, or adds why there is none or which of several must be chosen.
func (t *tree) findChain(base, tip string) *chain {
	c := &chain{base: t.root}
	if base != "" {
		if c.base = t.linkAsked("base", base); c.base == nil {
			return nil
		}
	}
	if tip != "" {
		if c.flange = t.linkAsked("tip", tip); c.flange == nil {
			return nil
		}
		way, ok := wayTo(c.base, c.flange)
		if !ok {
			t.add(c.flange.element, "link %s is not reached from the base %s; choose another --base or --tip", form.Quoted(tip), form.Quoted(c.base.name))
			return nil
		}
		return t.sixOf(c, way)
	}
	// Without a tip, every sixth joint that turns ends an arm.
	var sixth []*joint
	var search func(l *link, turned int)
	search = func(l *link, turned int) {
		for _, j := range l.children {
			switch {
			case j.kind == "fixed":
				search(j.child, turned)
			case !j.moves():
			case turned == 5:
				sixth = append(sixth, j)
			default:
				search(j.child, turned+1)
			}
		}
	}
	search(c.base, 0)
	switch len(sixth) {
	case 0:
		t.tellNoArm(c.base)
		return nil
	case 1:
	default:
		var tips []string
		for _, j := range sixth[:min(len(sixth), 12)] {
			tips = append(tips, j.child.name)
		}
		t.add(t.robot, "has %d chains of six joints that turn. Choose one with --tip: %s, or a link fixed to it", len(sixth), form.OneOf(tips))
		return nil
	}
	way, _ := wayTo(c.base, sixth[0].child)
	rigid := fixedTo(sixth[0].child)
	for _, l := range rigid {
		for _, j := range l.children {
			if j.moves() {
				t.add(j.element, "joint %s turns beyond the sixth joint %s. An arm here has six: if it is a seventh, this arm cannot be read; if it is part of a gripper, say where the arm ends: --tip %s",
					form.Quoted(j.name), form.Quoted(sixth[0].name), l.name)
				return nil
			}
		}
	}
	c.flange = usualFlange(rigid)
	return t.sixOf(c, way)
}

// usualFlange is the link for the mechanical interface among those that are fixed to the last joint: one whose name says so, else the one
// that the joint carries.
func usualFlange(rigid []*link) *link {
	for _, name := range []string{"tool0", "flange"} {
		for _, l := range rigid {
			if l.name == name || strings.HasSuffix(l.name, "_"+name) || strings.HasSuffix(l.name, "-"+name) {
				return l
			}
		}
	}
	return rigid[0]
}

func (t *tree) linkAsked(flag, name string) *link {
	l := t.named[name]
	if l == nil {
		t.add(t.robot, "has no link %s, which --%s names%s", form.Quoted(name), flag, t.meant(name))
	}
	return l
}

// sixOf takes the joints of a way that turn, which must be six with none that moves otherwise.
func (t *tree) sixOf(c *chain, way []*joint) *chain {
	n := 0
	for _, j := range way {
		switch {
		case j.kind == "fixed":
		case !j.moves():
			t.add(j.element, "joint %s is in the arm's chain, and %s; only joints that turn by themselves (revolute, continuous) can be read. %s", form.Quoted(j.name), j.what(),
				"If it never moves on your arm, make its type fixed; if it stands before the arm or after it, choose --base or --tip so that it is left out")
			return nil
		default:
			if n < 6 {
				c.joints[n] = j
			}
			n++
		}
	}
	if n != 6 {
		var names []string
		for _, j := range way {
			if j.moves() {
				names = append(names, j.name)
			}
		}
		t.add(c.flange.element, "between %s and %s there are %d joints that turn (%s), and an arm here has six. Choose another --base or --tip",
			form.Quoted(c.base.name), form.Quoted(c.flange.name), n, shortList(names))
		return nil
	}
	return c
}

// what is what a joint is that does not turn by itself.
func (j *joint) what() string {
	if j.mimic {
		return "it follows another joint (mimic)"
	}
	return "it is " + j.kind
}

// tellNoArm tells how far the longest way goes, or the joint that is no arm's in the way.
func (t *tree) tellNoArm(base *link) {
	var longest []string
	var stopped *joint
	var search func(l *link, names []string)
	search = func(l *link, names []string) {
		if len(names) > len(longest) {
			longest, stopped = append([]string(nil), names...), nil
		}
		for _, j := range l.children {
			switch {
			case j.kind == "fixed":
				search(j.child, names)
			case j.moves():
				search(j.child, append(names[:len(names):len(names)], j.name))
			case len(names) == len(longest) && stopped == nil:
				stopped = j
			}
		}
	}
	search(base, nil)
	at, why := t.robot, ""
	if stopped != nil {
		at, why = stopped.element, fmt.Sprintf("; then comes joint %s, and %s, which cannot be read", form.Quoted(stopped.name), stopped.what())
	}
	t.add(at, "no six joints that turn (revolute or continuous) follow each other from link %s. The longest chain has %d: %s%s",
		form.Quoted(base.name), len(longest), shortList(longest), why)
}

// shortList joins names, and not endlessly many.
func shortList(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	if more := len(names) - 8; more > 0 {
		return strings.Join(names[:8], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return form.AllOf(names)
}

// wayTo returns the joints from one link to another below it.
func wayTo(from, to *link) (way []*joint, ok bool) {
	for l := to; l != from; l = l.parent.parent {
		if l.parent == nil {
			return nil, false
		}
		way = append(way, l.parent)
	}
	slices.Reverse(way)
	return way, true
}

// fixedTo returns a link and all below it that are fixed to it, in the file's order.
func fixedTo(l *link) []*link {
	all := []*link{l}
	for i := 0; i < len(all); i++ {
		for _, j := range all[i].children {
			if j.kind == "fixed" {
				all = append(all, j.child)
			}
		}
	}
	return all
}
