// Package ask is a question to a class about an arm as it stands: which way it will go, which joints will turn, what will stop it,
// a number to read, or a choice. It computes the right answer, and it computes what each usual misconception would answer to this
// very question. So answers are grouped by what they reveal, and not by lists that somebody made up for one question.
package ask
