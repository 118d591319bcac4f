package words

import "syscall/js"

// pluralForm asks the browser, which has the rules of all languages.
func pluralForm(code, whole, decimals string) string {
	rules := js.Global().Get("Intl").Get("PluralRules").New(code, map[string]any{"minimumFractionDigits": min(len(decimals), 20)})
	return rules.Call("select", js.Global().Get("Number").Invoke(whole+"."+decimals)).String()
}
