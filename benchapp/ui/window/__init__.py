"""The window itself: its frame, who leads from page to page, the files it lets in and out, the list of sessions."""
