package lesson

import (
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"handrule/internal/pattern"
	"handrule/scenarios/form"
)

// A stage and a thing to notice are known again in another edition of their lesson by an identity, so that a tick lasts
// when stages are inserted, moved or worded anew. It is the id that the file gives, or it is made of what is asked: the
// numbers of the task and not its texts. Only where a question is nothing but text, as one whose options are marked right,
// is it made of that text. A file that is given ids later keeps the ticks that were made before.

// identities of the stages of a lesson, as they are made of its file before its numbers are drawn.
type identity struct {
	stage   string
	notices []string
}

// identitiesOf returns those of the stages in their order.
func identitiesOf(root ast.Node) (all []identity) {
	var start ast.Node
	taken, lesson := map[string]int{}, fieldsOf(root)
	start = lesson["start_deg"]
	list, ok := lesson["stages"].(*ast.SequenceNode)
	if !ok {
		return nil
	}
	for _, n := range list.Values {
		stage := fieldsOf(n)
		if own := stage["start_deg"]; own != nil {
			start = own
		}
		all = append(all, identityOf(stage, start, taken))
	}
	return all
}

func identityOf(stage map[string]ast.Node, start ast.Node, taken map[string]int) (id identity) {
	for _, k := range kinds {
		task := stage[k.name]
		if task == nil {
			continue
		}
		var content strings.Builder
		switch k.name {
		case "free": // Its ticks are known one by one.
			ids := map[string]int{}
			notices, _ := fieldsOf(task)["notice"].(*ast.SequenceNode)
			for i := 0; notices != nil && i < len(notices.Values); i++ {
				var what strings.Builder
				write(&what, notices.Values[i], false)
				id.notices = append(id.notices, unlike(ids, "notice-"+shortHash(what.String())))
			}
		case "choose", "predict", "read": // Their answers depend on where the arm stands.
			if start != nil && stage["go_on"] == nil {
				write(&content, start, false)
			}
		}
		write(&content, task, false)
		if k.name == "choose" && !strings.Contains(content.String(), `"when":`) {
			write(&content, task, true) // Nothing is computed: the question is its text.
		}
		id.stage = unlike(taken, k.name+"-"+shortHash(content.String()))
		return id
	}
	var content strings.Builder
	for _, field := range []string{"title", "text"} {
		if n := stage[field]; n != nil {
			write(&content, n, true)
		}
	}
	id.stage = unlike(taken, "text-"+shortHash(content.String()))
	return id
}

// unlike returns the name, with a number where it is taken already.
func unlike(taken map[string]int, name string) string {
	taken[name]++
	if n := taken[name]; n > 1 {
		return fmt.Sprintf("%s-%d", name, n)
	}
	return name
}

// shortHash is 40 bits of a hash in eight letters and digits.
func shortHash(content string) string {
	sum := sha256.Sum256([]byte(content))
	return strings.ToLower(base32.StdEncoding.EncodeToString(sum[:5]))
}

func fieldsOf(n ast.Node) map[string]ast.Node {
	fields := map[string]ast.Node{}
	entries, _ := form.Mapping(n)
	for _, e := range entries {
		fields[e.Key.GetToken().Value] = e.Value
	}
	return fields
}

// write writes what a node says, whatever its layout, the order of its fields and the way its numbers are written. Texts
// are left out unless asked for, ids and what is only shown always. Old words count as those of now.
func write(b *strings.Builder, n ast.Node, texts bool) {
	if n == nil {
		return
	}
	if entries, ok := form.Mapping(n); ok {
		entries = slices.Clone(entries)
		slices.SortStableFunc(entries, func(a, b *ast.MappingValueNode) int {
			return strings.Compare(a.Key.GetToken().Value, b.Key.GetToken().Value)
		})
		b.WriteString("{")
		for _, e := range entries {
			field := e.Key.GetToken().Value
			if field == "id" || field == "shows" || !texts && slices.Contains(readOnly, field) {
				continue
			}
			fmt.Fprintf(b, "%q:", field)
			if now, old := everOld[scalar(e.Value)]; old && slices.Contains(wordFields, field) {
				fmt.Fprintf(b, "%q", now)
			} else {
				write(b, e.Value, texts)
			}
			b.WriteString(",")
		}
		b.WriteString("}")
		return
	}
	if list, ok := n.(*ast.SequenceNode); ok {
		b.WriteString("[")
		for _, value := range list.Values {
			write(b, value, texts)
			b.WriteString(",")
		}
		b.WriteString("]")
		return
	}
	fmt.Fprintf(b, "%q", scalar(n))
}

// scalar is what a value says that is neither fields nor a list.
func scalar(n ast.Node) string {
	text := ""
	switch n := n.(type) {
	case *ast.StringNode:
		text = n.Value
	case *ast.LiteralNode:
		text = n.Value.Value
	default:
		text = n.GetToken().Value
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strings.Join(strings.Fields(text), " ")
}

// wordFields are those in which words were once others.
var wordFields = []string{"elbow", "wrist", "event", "is"}

// everOld are the old words of all of them.
var everOld = func() map[string]string {
	all := map[string]string{}
	for _, words := range oldWords {
		for old, now := range words {
			all[old] = now
		}
	}
	return all
}()

// longestID is how many letters an id may have.
const longestID = 40

var idWord = pattern.Of(`^[a-z][a-z0-9-]*$`)

// checkID reports an id that is none, or that an earlier one of those in taken has.
func checkID(b *form.Block, id string, taken map[string]bool) {
	switch {
	case id == "":
		return
	case !idWord.In(id) || len(id) > longestID:
		b.Add("id", "must be a word of small letters, digits and hyphens, such as over-the-tile, not %s", form.Quoted(id))
	case taken[id]:
		b.Add("id", "%s is taken already; ids must differ", form.Quoted(id))
	}
	taken[id] = true
}

// mostNotices is how many things to notice a lesson may have, so that its progress stays small.
const mostNotices = 250

// identify gives every stage and every thing to notice its identity.
func (l *Lesson) identify(made []identity) {
	taken, notices := map[string]bool{}, 0
	for i := range l.Stages {
		s := &l.Stages[i]
		checkID(&s.Block, s.ID, taken)
		if i < len(made) {
			s.made = made[i].stage
		}
		if s.ID == "" {
			s.ID = s.made
		}
		if s.Free == nil {
			continue
		}
		takenHere := map[string]bool{}
		for k := range s.Free.Notice {
			n := &s.Free.Notice[k]
			checkID(&n.Block, n.ID, takenHere)
			if i < len(made) && k < len(made[i].notices) {
				n.made = made[i].notices[k]
			}
			if n.ID == "" {
				n.ID = n.made
			}
		}
		if notices += len(s.Free.Notice); notices > mostNotices && notices-len(s.Free.Notice) <= mostNotices {
			s.Free.Add("notice", "brings the things to notice in the lesson to more than %d, which are plenty", mostNotices)
		}
	}
}
