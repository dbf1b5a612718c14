"""All arithmetic, one topic a file, pure: records in, records out."""
