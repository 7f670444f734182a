"""The packaged demo car. Maker, model, names, numbers and codes are invented; no value is for a real vehicle."""
