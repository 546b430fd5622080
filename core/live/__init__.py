"""Who else looks at a page, and what just changed there, pushed as server-sent events.

A page opens a stream for a topic (“rig:<id>”). Whoever changes the topic tells it (`tell`), in the
transaction of the change. The hub of each process wakes the streams of that topic; each reads what
is new to it. Needs the ASGI server; under WSGI pages work as ever and no stream is offered.
"""
