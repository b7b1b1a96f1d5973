/* What the files of the bench's routes share. */
#ifndef RUNDOWN_WEB_BENCH_PARTS_H
#define RUNDOWN_WEB_BENCH_PARTS_H

#include "web/benches.h"

/* What can be begun, what runs, what was left open. */
void bench_overview(void *workshop, const struct http_request *request, struct http_reply *reply);
/* What would be looked out for, before it begins. */
void bench_limits(void *workshop, const struct http_request *request, struct http_reply *reply);
/* Begins a recording, or goes on with one. */
void bench_begin(void *workshop, const struct http_request *request, struct http_reply *reply);
/* The curve so far, out of the book. */
void bench_curve(void *workshop, const struct http_request *request, struct http_reply *reply);

#endif
