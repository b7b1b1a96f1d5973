/* Sending: a reply as the wire wants it: its headers, 304 for what the peer has, a stretch of it (RFC 9110 14, one
 * range), and gzip where the peer takes it and it pays. */
#ifndef RUNDOWN_HTTP_SENDING_H
#define RUNDOWN_HTTP_SENDING_H

#include "http/exchange.h"

/* What the peer said of the reply it would like; NULL where it said nothing. */
struct sending_wish {
    const char *if_none_match, *range, *if_range, *accept_encoding;
};

/* Takes the reply's body. `ret_size`: the bytes that will go, for the peer's deadline. NULL when memory is out. */
struct MHD_Response *sending_make(struct http_reply *reply, const struct sending_wish *wish, int *ret_status,
                                  size_t *ret_size);
void sending_add_guards(struct MHD_Response *response, bool apart);

/* The header of a list names this tag, weakly or not; or *. */
bool sending_names_tag(const char *list, const char *tag);
/* Of `size` bytes: 206 with the stretch, 416, or 200 where the header is not one range of bytes. */
int sending_range(const char *header, size_t size, size_t *ret_first, size_t *ret_count);

#endif
