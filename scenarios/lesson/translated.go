package lesson

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"handrule/internal/pattern"
	"handrule/scenarios/form"
	"handrule/scenarios/translation"
	"handrule/words"
)

// This file puts the texts of a translation in the place of a lesson's own. Whatever is not text stays the lesson's: what is
// asked, what is right, and what numbers are drawn.

// inFile is the lesson with the texts of its own file.
func (l *Lesson) inFile() *Lesson {
	if l.original != nil {
		return l.original
	}
	return l
}

// In returns the lesson with its texts in a language, or with those of its file where it has none in that language.
func (l *Lesson) In(language *words.Language) *Lesson {
	file := l.inFile()
	t := file.Texts[language.Code]
	switch {
	case t == nil:
		return file
	case t == l.translated:
		return l
	}
	own := *file
	own.original, own.translated = file, t
	own.Title, own.Aims, own.Sources = file.inLanguage(file.Title, t.Title), file.listIn(file.Aims, t.Aims), file.listIn(file.Sources, t.Sources)
	own.Stages = slices.Clone(file.Stages)
	for i := range t.Stages {
		if at := file.stagesCalled(t.Stages[i].Of); len(at) == 1 {
			own.Stages[at[0]].translate(file, &t.Stages[i])
		}
	}
	return &own
}

// TitleIn and AimsIn are what the list of lessons shows, in a language.
func (l *Lesson) TitleIn(language *words.Language) string {
	if t := l.Texts[language.Code]; t != nil {
		return l.inLanguage(l.Title, t.Title)
	}
	return l.Title
}

// AimsIn are its aims in a language.
func (l *Lesson) AimsIn(language *words.Language) []string {
	if t := l.Texts[language.Code]; t != nil {
		return l.listIn(l.Aims, t.Aims)
	}
	return l.Aims
}

// inLanguage returns a text in the language, its drawn numbers written into it, or the lesson's own where there is none.
func (l *Lesson) inLanguage(own, translated string) string {
	if translated == "" {
		return own
	}
	if len(l.dealt.numbers) == 0 {
		return translated
	}
	return drawnUse.Replace(translated, func(use string) string {
		sign, name, _ := strings.Cut(use, "$")
		if x, drawn := l.dealt.numbers[name]; drawn {
			return drawnNumber(sign, x, true)
		}
		return use // It has been told of.
	})
}

func (l *Lesson) listIn(own, translated []string) []string {
	if len(translated) != len(own) {
		return own
	}
	all := slices.Clone(own)
	for i := range all {
		all[i] = l.inLanguage(own[i], translated[i])
	}
	return all
}

// translate puts texts in the place of the stage's. Tasks that hold texts are copies from now on.
func (s *Stage) translate(l *Lesson, t *translation.Stage) {
	s.Title = l.inLanguage(s.Title, t.Title)
	if t.Text != "" {
		s.Text = Prose(l.inLanguage("", string(t.Text)))
		s.HTML = l.html(Prose(t.Text))
	}
	if t.Explain != "" {
		s.Explain = Prose(l.inLanguage("", string(t.Explain)))
		s.ExplainHTML = l.html(Prose(t.Explain))
	}
	if len(t.Hints) == len(s.Hints) {
		s.Hints = slices.Clone(s.Hints)
		for i := range s.Hints {
			s.Hints[i].Text = l.inLanguage(s.Hints[i].Text, t.Hints[i])
		}
	}
	switch {
	case s.Choose != nil:
		choose := *s.Choose
		choose.Question, choose.Options = l.inLanguage(choose.Question, t.Question), slices.Clone(choose.Options)
		for i := range choose.Options {
			if o := &choose.Options[i]; len(t.Options) == len(choose.Options) {
				o.inFile = o.Text
				o.Text, o.Why = l.inLanguage(o.Text, t.Options[i].Text), l.inLanguage(o.Why, t.Options[i].Why)
			}
		}
		s.Choose, s.Task = &choose, &choose
	case s.Free != nil:
		free := *s.Free
		free.Notice = slices.Clone(free.Notice)
		for i := range free.Notice {
			if len(t.Notice) == len(free.Notice) {
				free.Notice[i].Text = l.inLanguage(free.Notice[i].Text, t.Notice[i])
			}
		}
		s.Free, s.Task = &free, &free
	}
}

// stagesCalled returns the stages of that id or title, or else the one of that number, from 0. More than one cannot be told apart
// by that name.
func (l *Lesson) stagesCalled(name string) (found []int) {
	for i := range l.Stages {
		if s := &l.Stages[i]; s.Given("id") && s.ID == name || s.Title != "" && s.Title == l.inLanguage("", name) {
			found = append(found, i)
		}
	}
	if n, err := strconv.Atoi(name); len(found) == 0 && err == nil && n >= 1 && n <= len(l.Stages) {
		return []int{n - 1}
	}
	return found
}

// Take gives the lesson its texts in another language. The error says what cannot be meant, and then the lesson is left as it
// is; the notes say what is missing, and where a number in a text is another than in the lesson's.
func (l *Lesson) Take(t *translation.Texts) (notes []string, err error) {
	f := fitting{lesson: l, texts: t}
	f.list("aims", l.Aims, t.Aims)
	f.list("sources", l.Sources, t.Sources)
	f.numbers("title", l.Title, t.Title)
	translated := map[int]bool{}
	for i := range t.Stages {
		s := &t.Stages[i]
		switch at := l.stagesCalled(s.Of); {
		case len(at) == 0:
			s.Tell("of", "%s has no stage called %s; %s", t.Of, form.Quoted(s.Of), form.UnknownWord(s.Of, l.stageNames()))
		case len(at) > 1:
			s.Tell("of", "stages %s of %s are all called %s; give each an id of its own there, and name it here by that", form.AllOf(counted(at)), t.Of, form.Quoted(s.Of))
			for _, i := range at { // They are told once, and not as missing too.
				translated[i] = true
			}
		case translated[at[0]]:
			s.Tell("of", "stage %d is translated twice", at[0]+1)
		default:
			translated[at[0]] = true
			f.stage(at[0], s)
		}
	}
	for i := range l.Stages {
		if !translated[i] {
			f.note("stage %d, %s, is not translated", i+1, form.Quoted(l.stageNames()[i]))
		}
	}
	if err := t.Block().Source().Err(); err != nil {
		return f.notes, err
	}
	if l.Texts == nil {
		l.Texts = translation.All{}
	}
	l.Texts[t.Language] = t
	return f.notes, nil
}

// stageNames are what a translation may call the stages.
func (l *Lesson) stageNames() (names []string) {
	for i := range l.Stages {
		switch s := &l.Stages[i]; {
		case s.Given("id"):
			names = append(names, s.ID)
		case s.Title != "":
			names = append(names, s.Title)
		default:
			names = append(names, strconv.Itoa(i+1))
		}
	}
	return names
}

// fitting compares a translation with its lesson.
type fitting struct {
	lesson *Lesson
	texts  *translation.Texts
	notes  []string
}

func (f *fitting) note(format string, args ...any) {
	f.notes = append(f.notes, "note: "+fmt.Sprintf(format, args...))
}

// text compares a text: one that is left over is an error at its field, one that is missing a note.
func (f *fitting) text(b *form.Block, field, where, own, translated string) {
	switch {
	case own == "" && translated != "":
		b.Add(field, "is left over: %s has none in the lesson's file", where)
	case own != "" && translated == "":
		f.note("%s: %s is not translated", where, field)
	case own != "":
		f.known(b, field, translated)
		f.numbers(where+", "+field, own, translated)
	}
}

// each compares a list of texts, whose entries are in the same order.
func (f *fitting) each(b *form.Block, field, where string, own, translated []string) {
	switch {
	case len(translated) == 0 && len(own) > 0:
		f.note("%s: %s: none of the %d is translated", where, field, len(own))
	case len(own) != len(translated):
		b.Add(field, "are %d, and in the lesson's file %d; translate each, in the same order", len(translated), len(own))
	default:
		for i := range own {
			f.known(b, field, translated[i])
			f.numbers(fmt.Sprintf("%s, %s, entry %d", where, field, i+1), own[i], translated[i])
		}
	}
}

func (f *fitting) list(field string, own, translated []string) {
	f.each(f.texts.Block(), field, f.texts.Of, own, translated)
}

func (f *fitting) stage(at int, t *translation.Stage) {
	s, where := &f.lesson.Stages[at], fmt.Sprintf("stage %d", at+1)
	f.text(&t.Block, "title", where, s.Title, t.Title)
	f.text(&t.Block, "text", where, string(s.Text), string(t.Text))
	f.text(&t.Block, "explain", where, string(s.Explain), string(t.Explain))
	f.lesson.checkText(&t.Block, "text", string(t.Text))
	f.lesson.checkText(&t.Block, "explain", string(t.Explain))
	hints := []string{}
	for _, h := range s.Hints {
		hints = append(hints, h.Text)
	}
	f.each(&t.Block, "hints", where, hints, t.Hints)
	question, options, whys, notice := "", []string{}, []string{}, []string{}
	if s.Choose != nil {
		question = s.Choose.Question
		for i := range s.Choose.Options {
			options, whys = append(options, s.Choose.Options[i].Text), append(whys, s.Choose.Options[i].Why)
		}
	}
	if s.Free != nil {
		for i := range s.Free.Notice {
			notice = append(notice, s.Free.Notice[i].Text)
		}
	}
	f.text(&t.Block, "question", where, question, t.Question)
	texts := []string{}
	for i := range t.Options {
		texts = append(texts, t.Options[i].Text)
	}
	f.each(&t.Block, "options", where, options, texts)
	for i := range t.Options {
		if len(options) == len(texts) {
			f.text(&t.Options[i].Block, "why", fmt.Sprintf("%s, option %d", where, i+1), whys[i], t.Options[i].Why)
		}
	}
	f.each(&t.Block, "notice", where, notice, t.Notice)
}

// known reports a drawn number that the lesson does not draw.
func (f *fitting) known(b *form.Block, field, text string) {
	numbers := f.lesson.dealt.numbers
	if len(numbers) == 0 {
		return
	}
	for _, use := range drawnUse.All(text) {
		_, name, _ := strings.Cut(use, "$")
		if _, drawn := numbers[name]; !drawn {
			b.Tell(field, "%s", notDrawn(name, numbers))
		}
	}
}

// quantity is a number in a text as its digits, whatever the language's decimal sign; a joint is one too.
var quantity = pattern.Of(`J[1-6]|[0-9]+([.,][0-9]+)?`)

// numbers notes where a text has other numbers in another language. Their order is free.
func (f *fitting) numbers(where, own, translated string) {
	if translated == "" {
		return
	}
	in := func(text string) (all []string) {
		for _, q := range quantity.All(text) {
			all = append(all, strings.ReplaceAll(q, ",", "."))
		}
		slices.Sort(all)
		return all
	}
	a, b := in(own), in(f.lesson.inLanguage("", translated))
	if missing, more := without(a, b), without(b, a); len(missing)+len(more) > 0 {
		f.note("%s: other numbers than in the lesson: %s missing, %s more", where, listed(missing), listed(more))
	}
}

func listed(list []string) string {
	if len(list) == 0 {
		return "none"
	}
	return strings.Join(list, ", ")
}

// without returns what is in a and not in b, as often as it is there more.
func without(a, b []string) (rest []string) {
	left := slices.Clone(b)
	for _, x := range a {
		if i := slices.Index(left, x); i >= 0 {
			left = slices.Delete(left, i, i+1)
		} else {
			rest = append(rest, x)
		}
	}
	return rest
}

// counted are the numbers of stages as people count them, from 1.
func counted(stages []int) (numbers []string) {
	for _, i := range stages {
		numbers = append(numbers, strconv.Itoa(i+1))
	}
	return numbers
}
