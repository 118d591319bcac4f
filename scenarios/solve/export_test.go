package solve

// For tests: a check within fewer ticks.
var CheckWithin = check

const MostSearch = mostSearch
