"""The tags that the pages of `findings` draw with."""
