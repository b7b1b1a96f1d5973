/* Sheet: printed pages that can be published and disputed. */
#ifndef RUNDOWN_REPORT_SHEET_H
#define RUNDOWN_REPORT_SHEET_H

#include "report/publishing.h"

enum status sheet_render(const struct assessment *assessment, const struct publishing *publishing, struct text *ret_pdf,
                         struct message *message);
/* A page of it (from 1) as a picture, as paper_picture makes it; `ret_pages`: how many there are. Page 0: only that. */
enum status sheet_picture(const struct assessment *assessment, const struct publishing *publishing, int page, int pixels,
                          struct text *ret_png, int *ret_pages, struct message *message);
enum status sheet_write(const struct assessment *assessment, const struct publishing *publishing, const char *path,
                        struct message *message);

#endif
