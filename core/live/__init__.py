"""Who else looks at a page, and what just changed there, pushed as server-sent events.

A page opens a stream for a topic (“rig:<id>”). Whoever changes the topic announces it with
`core.live.notify.notify`, in the transaction of the change. The hub of each process wakes the
streams of that topic, and each reads what is new to it. This needs the ASGI server; under WSGI
pages work as ever, and no stream is offered.
"""
