package spoken_test

import (
	"strings"
	"testing"

	"handrule/kinematics/jog"
	"handrule/scenarios/spoken"
	"handrule/words"
)

// A new row in the table of reasons needs its texts in every language.
func TestEveryReasonHasItsTexts(t *testing.T) {
	for _, in := range words.Languages {
		for _, reason := range jog.Reasons {
			stop := jog.Stop{Reason: reason, Jog: along(jog.BaseFrame, 0, 1, 10, 50), Travel: 1}
			texts := map[string]string{"headline": spoken.Headline(stop, in), "numbers": spoken.Numbers(stop, in)}
			if stop.Trouble() {
				texts["cause"], texts["brief name"], texts["advice"] = spoken.Cause(stop, in), spoken.Brief(stop, in), spoken.Advice(stop, in)
			}
			for what, text := range texts {
				if text == "" || strings.ContainsAny(text, "‹›{}") {
					t.Errorf("%s: the %s of %q is %q", in.Code, what, reason, text)
				}
			}
		}
	}
}

// A new row in the table of frames needs its texts in every language, and a key of its own.
func TestEveryFrameHasItsTexts(t *testing.T) {
	keys := map[string]jog.Frame{}
	for _, f := range jog.Frames {
		traits := f.Traits()
		if other, taken := keys[traits.Key]; taken || len(traits.Key) != 1 {
			t.Errorf("the key %q of the %s frame is no letter, or chooses the %s frame too", traits.Key, f, other)
		}
		keys[traits.Key] = f
		name := string(f)
		needed := []string{"jog.frame." + name, "jog.choose." + name, "help.frame." + name, "plus." + name}
		if traits.Axes {
			for _, of := range []string{"pair", "button", "direction"} {
				needed = append(needed, of+"."+name+".along", of+"."+name+".about")
			}
			needed = append(needed, "plus."+name+".x", "plus."+name+".y", "plus."+name+".z")
		} else {
			needed = append(needed, "pair."+name, "button."+name, "direction."+name+".plus", "direction."+name+".minus")
		}
		for _, in := range words.Languages {
			for _, key := range needed {
				if in.Texts[key].Forms == nil {
					t.Errorf("words/%s.json has no %q, which the %s frame needs", in.Code, key, f)
				}
			}
		}
	}
}
