"""The job file: what a person writes about one part, read strictly into one frozen value.

    title, machine, tools, material     what is made, on what, with what, of what
    [bar]                               the piece that goes into the lathe: a bar, a tube, or a blank drawn with rows
    least_wall, thin                    how thin its walls may be, and what is done about thinner ones
    [sizes]                             names for lengths, usable in every value below; `--set` overrides them
    [part] outside = [rows]             the half-section, from the front end towards the chuck
    [part] inside, face = [rows]        its hollows, each from its mouth inwards; grooves in its end faces
    [[holding]], [roughing], [finish], [parting]    how it is held, roughed, finished, and how it comes off
    [[component]], [afterwards]         what the part holds, as measured; plating, polish, anodise
    [[trim]]                            sizes cut longer by a spare, until a trial assembly
    [expect]                            what the part must come to, worked out elsewhere

Everything that a job may leave out has its default, with the reason, in `DEFAULTS` and nowhere else; a job remembers
which of them were used. Lengths are millimetres in the values here, whatever unit the file speaks.

defaults.py  what holds where the job is silent, and why
tables.py    the file as it is decoded, before anything in it is understood
values.py    lengths and choices taken out of it, each default noted
bar.py, holdings.py, making.py, components.py, trims.py   the tables that need more than that
job.py       what comes of it: a Job
read.py      file -> Job -> HalfSection
"""
