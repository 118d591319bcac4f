package main

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"handrule/scenarios/form"
)

// This file says what is wrong with a command line as all else is said here: what it is, and what would be right. The parser
// tells it in words of its own, which are matched; testdata/slips.txt shows where those have changed.

// slip is one kind of mistake: what the parser says, and what is said instead of the command that was meant.
type slip struct {
	said *regexp.Regexp
	tell func(m []string, meant *kong.Node) string
}

var slips = []slip{
	{regexp.MustCompile(`^expected one of "`), func(_ []string, meant *kong.Node) string {
		return "no command is given; it is one of: " + strings.Join(commandsOf(meant), ", ")
	}},
	{regexp.MustCompile(`^unexpected argument (\S+?),? `), func(m []string, meant *kong.Node) string {
		if meant.Type == kong.ApplicationNode {
			return fmt.Sprintf("there is no command %s; %s", form.Quoted(m[1]), form.UnknownWord(m[1], commandsOf(meant)))
		}
		return fmt.Sprintf("%s is one too many; write: %s", form.Quoted(m[1]), usage(meant))
	}},
	{regexp.MustCompile(`^unknown flag (-\S*?),? `), func(m []string, meant *kong.Node) string {
		return fmt.Sprintf("there is no option %s; %s", m[1], form.UnknownWord(m[1], optionsOf(meant)))
	}},
	{regexp.MustCompile(`^missing flags: (.*) $`), func(m []string, meant *kong.Node) string {
		options := strings.Split(m[1], ", ")
		return fmt.Sprintf("%s %s missing; write: %s", form.AllOf(options), isOrAre(options), usage(meant))
	}},
	{regexp.MustCompile(`^(?:expected "|missing positional arguments )(<[^"]*>)`), func(m []string, meant *kong.Node) string {
		arguments := strings.Fields(m[1])
		return fmt.Sprintf("%s %s missing; write: %s", form.AllOf(arguments), isOrAre(arguments), usage(meant))
	}},
	{regexp.MustCompile(`^(\S+) must be one of (\S+) but got "(.*)" $`), func(m []string, _ *kong.Node) string {
		words := strings.Split(strings.ReplaceAll(m[2], `"`, ""), ",")
		words = slices.DeleteFunc(words, func(w string) bool { return w == "" }) // that it may be left out
		return fmt.Sprintf("%s is %s; %s", m[1], form.Quoted(m[3]), form.UnknownWord(m[3], words))
	}},
	{regexp.MustCompile(`^(\S+): expected a(?: valid \d+ bit|n) (u?)int but got "(.*?)"`), func(m []string, _ *kong.Node) string {
		from := ""
		if m[2] != "" {
			from = ", 0 or more"
		}
		return fmt.Sprintf("%s must be a whole number%s, not %s", m[1], from, form.Quoted(m[3]))
	}},
	{regexp.MustCompile(`^(\S+): expected a(?: valid \d+ bit)? float but got "(.*?)"`), func(m []string, _ *kong.Node) string {
		return fmt.Sprintf("%s must be a number, not %s", m[1], form.Quoted(m[2]))
	}},
	{regexp.MustCompile(`^(\S+): bool value must be true.* but got "(.*)" $`), func(m []string, _ *kong.Node) string {
		return fmt.Sprintf("%s is given or left out, and has no value %s", m[1], form.Quoted(m[2]))
	}},
	{regexp.MustCompile(`^(\S+): expected (?:\S+ )?value but got "EOL"`), func(m []string, meant *kong.Node) string {
		return fmt.Sprintf("%s has no value; write: %s", m[1], usage(meant))
	}},
}

func isOrAre(all []string) string {
	if len(all) > 1 {
		return "are"
	}
	return "is"
}

// slipOf says what was wrong with the command line.
func slipOf(err error) error {
	var parse *kong.ParseError
	if !errors.As(err, &parse) {
		return err
	}
	meant := parse.Context.Model.Node
	if selected := parse.Context.Selected(); selected != nil {
		meant = selected
	}
	told := err.Error()
	for _, s := range slips {
		if m := s.said.FindStringSubmatch(err.Error() + " "); m != nil {
			told = s.tell(m, meant)
			break
		}
	}
	return errors.New(meant.FullPath() + ": " + told)
}

// ofCommand puts the command before what it says of one of its options.
func ofCommand(command *kong.Context, err error) error {
	if err != nil && strings.HasPrefix(err.Error(), "--") {
		return fmt.Errorf("%s: %w", command.Selected().FullPath(), err)
	}
	return err
}

// commandsOf are the commands of the program.
func commandsOf(program *kong.Node) (all []string) {
	for _, c := range program.Children {
		all = append(all, c.Name)
	}
	return all
}

// optionsOf are those of a command.
func optionsOf(command *kong.Node) (all []string) {
	for _, group := range slices.Backward(command.AllFlags(true)) { // those of all commands come first
		for _, f := range group {
			all = append(all, "--"+f.Name)
		}
	}
	return all
}

// usage is how a command is written.
func usage(command *kong.Node) string {
	all := []string{command.FullPath()}
	if options := command.FlagSummary(true); options != "" {
		all = append(all, options)
	}
	for _, a := range command.Positional {
		all = append(all, a.Summary())
	}
	return strings.Join(all, " ")
}
