// Package class is a class hour: who is in it, what the instructor shows, sends and asks, what was answered and what that reveals,
// and where everybody stands. What must last of it are facts, each under a key of its own and each written by one side (see
// fact.go); what a page sees is computed from them (see view.go). It has no transport, no clock and no store of its own.
package class
