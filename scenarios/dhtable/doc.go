// Package dhtable reads arms from tables of Denavit-Hartenberg parameters: text in columns, as spreadsheets write it.
//
// The parameters came with J. Denavit and R. S. Hartenberg, "A kinematic notation for lower-pair mechanisms based on matrices" (1955).
// Two conventions are in use, and the same table is two arms in them; see Convention.
package dhtable
