"""One file per support; each exports its `KIND`."""
