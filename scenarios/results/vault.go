package results

import (
	"crypto/ed25519"

	"handrule/scenarios/lesson"
)

// Vault seals and signs with a key what learners must not forge.
type Vault struct{ Key ed25519.PrivateKey }

// Seal writes the stage a learner is in and the progress so that they can be kept on the learner's own machine.
func (v Vault) Seal(stage int, p lesson.Progress) (string, error) {
	return Seal(Kept{Stage: stage, Progress: p}, v.Key)
}

// Unseal reads what Seal wrote.
func (v Vault) Unseal(text string) (int, lesson.Progress, error) {
	k, err := Unseal(text, v.Key)
	return k.Stage, k.Progress, err
}

// Sign returns a result as a file.
func (v Vault) Sign(o lesson.Outcome) ([]byte, error) {
	return Sign(Result{
		Learner: o.Learner, Number: o.Number, Email: o.Email, Finished: o.Finished, Assessment: o.Assessment, TriesVouched: o.Vouched, Progress: o.Progress,
	}, v.Key)
}

// Numbers returns what the numbers of an assessment are drawn from, for the deal of that number.
func (v Vault) Numbers(lesson string, deal uint64) uint64 { return NumbersOf(lesson, deal, v.Key) }

// ExtraTime returns how many minutes more a code gives in an assessment, and for whom.
func (v Vault) ExtraTime(lesson, code string) (int, string, error) {
	return ReadExtraTime(lesson, code, v.Key)
}
