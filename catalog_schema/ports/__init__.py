"""The sides of parts that mate, one module an area. Import from the area's module or from ``ports.base``."""
