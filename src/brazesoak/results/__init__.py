"""Result files: what is in them, writing them whole or not at all, reading them back."""
