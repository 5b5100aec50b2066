"""What the commands about the maker's own things do and show: `settings` those that she keeps."""
