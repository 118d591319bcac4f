// Package draws lets property tests draw the same cases in every run, so that what the test command says of a commit does not
// change. With HANDRULE_DRAWS=new the cases are new ones in each run, and with a number they are those of that seed; what
// they find belongs in a test of its own. A test whose cases come from rapid imports the package for that alone.
package draws

import (
	"flag"
	"math/rand/v2"
	"os"
	"strconv"

	_ "pgregory.net/rapid" // whose flags are set
)

// usual is the seed of the test command.
const usual = 20260101

func init() {
	if os.Getenv("HANDRULE_DRAWS") == "new" || flag.Lookup("rapid.seed") == nil {
		return
	}
	if err := flag.Set("rapid.seed", strconv.FormatUint(Seed(), 10)); err != nil {
		panic(err)
	}
}

// Seed returns the seed of the cases that a test draws without rapid: in the test command the same in every run.
func Seed() uint64 {
	wanted := os.Getenv("HANDRULE_DRAWS")
	if wanted == "new" {
		return rand.Uint64()
	}
	if seed, err := strconv.ParseUint(wanted, 10, 64); err == nil {
		return seed
	}
	return usual
}

// Thorough reports whether tests may take their time, to try far more cases than the test command does.
func Thorough() bool { return os.Getenv("HANDRULE_THOROUGH") != "" }
