/* Preview: what a dropped log or readings file would be taken for, as JSON for a page, before anything is stored. */
#ifndef RUNDOWN_WEB_DROP_PREVIEW_H
#define RUNDOWN_WEB_DROP_PREVIEW_H

#include "base/json_value.h"
#include "intake/log.h"

/* From the first stretch alone: layout, columns, first rows, the refusal with its choices. Puts into `preview`
 * "form", "bytes", "encoding", "delimiter", "decimal", "header_line", "invented", "columns", "first", "fault",
 * "choices". True when the log may be read. */
bool preview_look(const char *path, const struct log_options *options, json_t *preview);

/* From the whole log: "rows", "readings", "left_out", "bad", "missing_cells", "out_of_order", "start", "zone_known",
 * "lasts_s", "interval_s", "gaps", "longest_gap_s", "sign", "notices"; "fault" and "choices" where it is refused. A
 * reading that was stopped leaves the preview as it is, and fails; so does nothing else. */
enum status preview_whole(const char *path, const struct log_options *options, json_t *preview, struct message *message);

/* Readings typed by eye: "form", "lines", "fault", "faults", "notices". */
void preview_typed(const char *path, json_t *preview);

/* What a column may be taken for: [{"word": "voltage", "name": "voltage"}]. */
json_t *preview_roles(void);

#endif
