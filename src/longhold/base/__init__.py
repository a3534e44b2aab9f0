"""Floor 1: what every room needs and none owns: errors, marks, sources, tables, units, the trace."""
