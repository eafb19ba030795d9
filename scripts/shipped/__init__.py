"""What is shipped beside the package: manual page and shell completion, made from the commands themselves."""
