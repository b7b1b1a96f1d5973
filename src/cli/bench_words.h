/* Bench words: where a recording stands, as a block for a terminal, as one plain line, or as a line of JSON. */
#ifndef RUNDOWN_CLI_BENCH_WORDS_H
#define RUNDOWN_CLI_BENCH_WORDS_H

#include "base/text.h"
#include "bench/recorder.h"

/* What does not change while it runs. */
struct bench_title {
    const char *sample;
    enum test_kind kind;
};

/* Some lines, none longer than `width`; each ends in a line end. */
void bench_block(const struct bench_title *title, const struct bench_view *view, int width,
                 struct text *text);
void bench_line(const struct bench_view *view, struct text *text);
void bench_json(const struct bench_view *view, struct text *text);

void bench_call_line(const struct call *call, struct text *text);
void bench_call_json(const struct call *call, struct text *text);

#endif
