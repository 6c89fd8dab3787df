"""The tags that the pages of `site` draw with."""
