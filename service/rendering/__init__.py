"""Values as files of other formats: calendars, charts."""
