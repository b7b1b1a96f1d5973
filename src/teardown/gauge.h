/* Gauge: the section of a conductor, from the words on its jacket or a measurement.
 *
 * American wire gauge: d = 0.127 mm × 92^((36−n)/39) (ASTM B258), n = 0, −1, −2, −3 for 1/0 … 4/0; of a stranded
 * conductor it names the metal's area. The printed size is a claim: IEC 60228 holds a conductor to its resistance and
 * not to its area, and what is sold off a reel may be short of both. */
#ifndef RUNDOWN_TEARDOWN_GAUGE_H
#define RUNDOWN_TEARDOWN_GAUGE_H

#include "base/status.h"
#include "base/text.h"

struct gauge {
    int parallel;      /* conductors side by side; 1 */
    double area_mm2;   /* of metal in each */
    double awg;        /* its gauge; NaN where it was given in mm² */
    bool flat;         /* a bar: width × thickness */
    double width_mm, thickness_mm; /* of a bar */
};

double awg_area_mm2(double awg);
double awg_diameter_mm(double awg);
double awg_of_area(double area_mm2); /* 10.0 for 5.26 mm² */

/* `10 AWG`, `2/0 AWG`, `AWG 8`, `16 mm²`, `4 x 10 AWG`, `2 × 6 mm2`, `20 x 2 mm` (a bar), `20 mm x 2 mm`. */
enum status gauge_read(struct span words, struct gauge *ret_gauge, struct message *message);

/* `4 × 10 AWG (5.26 mm² each)` */
void gauge_print(const struct gauge *gauge, char *buffer, size_t size);

double gauge_area_mm2(const struct gauge *gauge); /* all of it */

#endif
