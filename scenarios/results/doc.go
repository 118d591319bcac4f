// Package results holds what a learner takes home from a lesson: a file with the tasks, tries, times, jogs, contacts and
// predictions, signed by the server that checked them, and the table that a class's files make. A file that was edited
// is found out.
package results
