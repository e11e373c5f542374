"""One module an area: each joint a few small pure tests over figures. Import from the area or from ``rules.registry``."""
