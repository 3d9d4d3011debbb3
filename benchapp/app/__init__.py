"""The window's process: QApplication, garbage-collection timer, crash hooks."""
