"""The PDF as a container: attachments written flat in memory, one revision, read back strictly.

Not done here: drawing pages (`pages`), making or judging signatures (`seal`). A file is written in one
canonical form (`values`, `layout`) and read only in that form, so that there is nothing for two readers
to disagree about.
"""
