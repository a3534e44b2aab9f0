"""Floor 8: deliveries checked, inspections planned, and readings that correct the forecast."""
