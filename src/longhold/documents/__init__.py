"""Floor 9: what people take away: tables, reports, exchange files."""
