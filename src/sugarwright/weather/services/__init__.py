"""Weather services: one adapter a file, all behind :class:`.service.Service`."""
