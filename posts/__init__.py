"""How to say a program to a control: dialects as data, one writer, one strict reader.

    dialect = load_dialect("g95")          posts.dialect   words and limits of one kind of control, from posts/*.toml
    written = write(program, dialect)      posts.writer    text, and the lines of each operation
    program = read(text, dialect)          posts.reader    the same moves again, from any text that keeps the rules

The reader is written against the published rules, not against the writer.
"""
