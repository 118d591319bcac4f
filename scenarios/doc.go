// Package scenarios holds the arms, cells and lessons that ship with handrule, and reads those of a folder of one's own.
//
// The forms of the files are in packages of their own, each using those before it: form (YAML, problems, JSON Schema),
// armfile, cellfile, jogfile, lesson, solve (passing a lesson by search); results and worksheet make what comes of lessons.
package scenarios
