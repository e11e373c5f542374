"""One module an area: each joint a few small pure tests over figures. Import from its modules."""
