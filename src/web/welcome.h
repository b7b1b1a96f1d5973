/* Welcome: what `open` prints: where the book is served, and with what codes one comes in. */
#ifndef RUNDOWN_WEB_WELCOME_H
#define RUNDOWN_WEB_WELCOME_H

#include "http/serving.h"

/* The first line begins with the address for this machine; `quiet`: nothing but addresses and codes, no drawing. */
void welcome(const char *book, const struct http_server *server, struct door *door, bool share, bool quiet);

#endif
