// Package draws lets property tests draw the same cases in every run, so that what the test command says of a commit does not
// change. It is imported by the tests for that alone. With HANDRULE_DRAWS=new the cases are new ones in each run; what they
// find belongs in a test of its own.
package draws

import (
	"flag"
	"os"

	_ "pgregory.net/rapid" // whose flags are set
)

func init() {
	if os.Getenv("HANDRULE_DRAWS") == "new" || flag.Lookup("rapid.seed") == nil {
		return
	}
	if err := flag.Set("rapid.seed", "20260101"); err != nil {
		panic(err)
	}
}
