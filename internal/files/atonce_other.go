//go:build !unix

package files

const atOnce = 0 // There are no pipes in folders here.
