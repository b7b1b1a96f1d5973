/* SCPI device: an instrument as text in, text out, for serve_scpi.
 *
 * Common commands and status registers by IEEE 488.2, the command tree, the error numbers and the numbers that
 * stand for no number by SCPI-99; both from memory. It answers
 *
 *     *IDN? *RST *CLS *OPC *OPC? *WAI *TST? *ESE n *ESE? *ESR? *SRE n *SRE? *STB?
 *     SYSTem:ERRor[:NEXT]?   SYSTem:ERRor:COUNt?   SYSTem:VERSion?
 *     MEASure:VOLTage? CURRent? POWer? TEMPerature? AMBient? CHARge? ENERgy?    one channel
 *     FETCh?                 its own elapsed seconds, then every channel in the order of the view
 *
 * in short and long form, several to a message. What is missing reads 9.91E37, an overload 9.9E37. */
#ifndef RUNDOWN_INSTRUMENT_SCPI_DEVICE_H
#define RUNDOWN_INSTRUMENT_SCPI_DEVICE_H

#include "base/text.h"
#include "instrument/serve.h"

enum { SCPI_DEVICE_ERRORS = 10 };

struct scpi_device {
    const struct serve_view *view;
    int errors[SCPI_DEVICE_ERRORS];
    int error_count;
    unsigned event, event_enable, service_enable; /* IEEE 488.2's registers */
};

void scpi_device_power_on(struct scpi_device *device, const struct serve_view *view);

/* Puts an error into its queue, as its own parser does: -363 for an input buffer that ran over. */
void scpi_device_fault(struct scpi_device *device, int number);

/* Obeys one message (a line without its end) and adds what it answers, with a line feed, if it answers. A dark
 * device does neither. */
void scpi_device_obey(struct scpi_device *device, struct span message, struct text *answer);

#endif
