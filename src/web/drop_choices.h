/* Choices: what a page can offer where a log is refused. The remedy of such a refusal names options of the command
 * line (`--column voltage=2 or --column voltage=3`, `--period 1s`); here each of the ways that it names becomes a
 * choice. */
#ifndef RUNDOWN_WEB_DROP_CHOICES_H
#define RUNDOWN_WEB_DROP_CHOICES_H

#include "base/json_value.h"

/* [{"words": "column 2 is the voltage", "columns": ["voltage=2"], "period": "1s" or null, "sign": … or null}]; empty
 * where the remedy names no option. */
json_t *drop_choices(const char *remedy);

#endif
