"""The site's air: climate, salt and sulphur, first-year loss, its category, and loss over the years."""
