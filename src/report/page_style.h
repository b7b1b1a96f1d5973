/* Page style: the rules of the page beyond those of its figures. */
#ifndef RUNDOWN_REPORT_PAGE_STYLE_H
#define RUNDOWN_REPORT_PAGE_STYLE_H

/* CSS; uses the properties of draw/svg.h's svg_add_style. */
extern const char page_style[];

#endif
