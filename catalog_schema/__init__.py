"""What bicycle parts are: typed records, the interface library and catalogues. Import from its modules."""
