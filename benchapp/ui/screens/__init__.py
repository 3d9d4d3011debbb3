"""The pages, a folder each: each receives what it shows and sends wishes."""
