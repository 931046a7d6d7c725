"""The calculation service: every formula over HTTP, for the spreadsheet hosts on this computer, or of a team.

``stillbook serve`` answers on the loopback interface, and nowhere else unless it is given a certificate, or its public
address with a proxy in front, past which nobody may come then. It offers:

* ``POST /calls``: many formula calls in one request; answers in order, an error for each call that fails
* ``GET /catalogue``: every formula with its arguments, units, choices, help, example and source
* ``GET /recent-errors``: the latest error answers to the same token with their reasons, newest first, of all workers
* ``GET /health``: that it runs, its version, and the sizes it accepts
* ``GET /metrics``: what was done since the start, in the Prometheus text format
* ``GET /alive``: the word "alive", to anybody
* ``GET /panel/``: the files of the browser add-in and of its panel
* ``GET /docs``: this description, to read and to try; ``/openapi.json`` for programs

**Values.** Numbers, text, true, false, null for a blank cell, ``{"error": "#N/A", "reason": "…"}`` for an error, and a
range as a list of rows. What is wrong with one call is that call's error and leaves the others alone. A request that is
wrong as a whole is refused: 413 (too large), 422 (not of the right form), 408 (head or body do not come in time).

**Who may call.** A request needs the token in ``Authorization: Bearer …``; the files of the panel and the description
need none, since they hold nothing of the user's. The token is random, kept in a file that only its owner can read, and
stays the same from one start to the next; delete the file ``token`` to make the next start choose a new one. Others
than the owner get named tokens (``stillbook serve tokens add NAME``), of which digests alone are kept and which are
withdrawn one by one; no log holds a token. Programs on this computer find address and token in the discovery file
``service.json``, which is there while the service runs.

A web page that the user visits cannot call the service: it cannot read the token; a request whose ``Host`` is not one
of the service's own names is refused, which defeats a foreign name that is made to resolve to this computer; one that
carries the ``Origin`` of another site is refused; and no answer carries a header that would let another site read it.
The exceptions are ``functions.json`` and the icons: Excel in the browser fetches them from its own pages.

**The panel.** Its page is served by the service itself, so its calls come from the service's own origin. It gets the
token from the link that ``stillbook serve`` prints: ``http://127.0.0.1:8347/panel/#token=…``. The part after ``#`` is
never sent over the network; the page's script takes it, keeps it in the storage of its own origin and takes it out of
the address. There is no cookie: a browser would send one to every other port of this computer too, and along with
requests that other sites start. The add-in inside a spreadsheet loads the same page from the same origin (https, with
a certificate); opened without the link it asks once for the token or the link to be pasted, and keeps it the same way.

**Time.** A few numbers are calculated at once; more are handed to a thread, so that others need not wait for them.
After 30 s a request is answered with what is ready, and an error for the rest.

**Several workers** share one socket, one token and, in memory, one list of recent errors. Each calculates on its own.
"""
