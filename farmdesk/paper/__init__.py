"""Pages and tables that know no farm, and their writers."""
