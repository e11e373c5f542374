"""Every sentence the program says, as data; it sees records and figures only."""
