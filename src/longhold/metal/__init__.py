"""Floor 4: metal over the years: long-term laws, layers in sequence, which metals may meet."""
