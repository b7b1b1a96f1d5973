/* View as JSON: where a recording stands, and its calls, for programs and pages (docs/recording.md). */
#ifndef RUNDOWN_BENCH_VIEW_JSON_H
#define RUNDOWN_BENCH_VIEW_JSON_H

#include "base/json_value.h"
#include "bench/recorder.h"

json_t *bench_view_json(const struct bench_view *view);
json_t *call_json(const struct call *call);

#endif
