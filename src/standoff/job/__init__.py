"""One job, all together: the file, the layout it describes, the answer and the words for it."""
