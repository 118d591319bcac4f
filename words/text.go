package words

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Text is an entry of a catalogue: one text, or one for each plural form that the language has. In the file it is
// "text", or {"one": "{count} jog", "other": "{count} jogs"}, where the forms are those of Unicode's CLDR and the number
// is that of the placeholder {count}; "by" names another placeholder. The page reads the same entries.
type Text struct {
	By    string            // the placeholder whose number chooses the form; empty where there is one form only
	Forms map[string]string // by the name of the form; "other" is always there
}

// byCount is the placeholder that chooses where an entry names none.
const byCount = "count"

func (t *Text) UnmarshalJSON(data []byte) error {
	var whole string
	if json.Unmarshal(data, &whole) == nil {
		*t = Text{Forms: map[string]string{"other": whole}}
		return nil
	}
	*t = Text{}
	if err := json.Unmarshal(data, &t.Forms); err != nil {
		return fmt.Errorf("want a text or its plural forms: %w", err)
	}
	t.By = t.Forms["by"]
	delete(t.Forms, "by")
	if t.By == "" {
		t.By = byCount
	}
	if _, there := t.Forms["other"]; !there {
		return fmt.Errorf(`the plural forms %v lack "other"`, t.Forms)
	}
	return nil
}

func (t Text) MarshalJSON() ([]byte, error) {
	if t.By == "" {
		return json.Marshal(t.Forms["other"])
	}
	forms := map[string]string{"by": t.By}
	for form, text := range t.Forms {
		forms[form] = text
	}
	return json.Marshal(forms)
}

// form returns the text whose form suits the values.
func (t Text) form(l *Language, values []string) string {
	for i := 0; t.By != "" && i+1 < len(values); i += 2 {
		if values[i] == t.By {
			if text, there := t.Forms[l.PluralForm(values[i+1])]; there {
				return text
			}
		}
	}
	return t.Forms["other"]
}

// PluralForm is the CLDR name of the plural form that a number takes, as it is written in the language.
func (l *Language) PluralForm(number string) string {
	whole, decimals, _ := strings.Cut(strings.TrimLeft(number, "+−-"), l.decimal())
	return pluralForm(l.Code, digits(whole), digits(decimals))
}

// digits drops what stands between them.
func digits(text string) string {
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, text)
}
