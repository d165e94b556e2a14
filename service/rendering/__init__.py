"""Values as files of other formats: calendars, charts, tables, a client's own data."""
