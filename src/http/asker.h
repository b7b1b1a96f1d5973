/* Asker: whether a request was made by one of our own pages, or by a page from elsewhere through somebody's browser.
 *
 * Host is held against the server's own names (against DNS rebinding: the name of a stranger that resolves to this
 * machine); Origin (RFC 6454 7) against Host, whenever something may change; Sec-Fetch-Site and -Mode (W3C Fetch
 * Metadata) wherever the browser tells them. */
#ifndef RUNDOWN_HTTP_ASKER_H
#define RUNDOWN_HTTP_ASKER_H

#include "http/http.h"

/* `own`: the address at which this connection reached the server; `machine`: the machine's name where it may be used
 * too, alone or with .local, else "": a network may say of the name that it is loopback, and so whose page may ask. The port may be any: it may have been forwarded. */
bool asker_host_is_ours(const char *host, const char *own, const char *machine);
bool asker_origin_is_ours(const char *origin, const char *host);
/* `page`: what everybody may look at, to which a link from elsewhere may lead. NULL: not told. */
bool asker_site_is_ours(const char *site, const char *mode, bool page);

#endif
