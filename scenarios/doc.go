// Package scenarios reads arm, cell and lesson files and files of jogs, and says everything that is wrong with them:
// file, line and column, and what would be right. It also holds the arms, cells and lessons that ship with handrule.
//
// Files state lengths in millimetres and angles in degrees, with the unit in the field's name. What the package
// hands out is in millimetres and radians.
package scenarios
