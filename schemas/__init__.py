"""What may stand in a YAML file: JSON Schemas that serve editors and `pipeline.schema` alike."""
