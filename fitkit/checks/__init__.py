"""Questions about the finished stages; each answers with findings."""
