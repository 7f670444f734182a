"""The bus: frames go out and come in here; what they mean is in `core.codes`."""
