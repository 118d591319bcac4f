package pattern

import "strings"

// refuse stops at what Go and ECMAScript read differently: white space, which has more characters there.
func refuse(text string) {
	if strings.Contains(text, `\s`) || strings.Contains(text, `\S`) {
		panic("pattern " + text + `: write the spaces that are meant, such as [ \t], for \s`)
	}
}
