/* The second shape through libxlsxwriter: twelve sheets of 2,000 rows and
 * twelve columns with tables, lists, shades, formulas with values and links,
 * and a summary with two charts. */
#include <stdio.h>
#include <xlsxwriter.h>

static const char *answers[] = {"accept", "change", "query", "not available", NULL};

static double figure(long r, int c) { return (double)(r * c % 100000) + c / 8.0; }

static void name(char *to, size_t most, int row, int column) {
    switch (column) {
    case 0: snprintf(to, most, "EF-%d", row); break;
    case 1: snprintf(to, most, "EF-%d/override-active", row); break;
    case 2: snprintf(to, most, "B1.EF%d.OVR", row); break;
    default: snprintf(to, most, "fans.xlsx, Schedule!A%d", row);
    }
}

static void table(lxw_workbook *book, int n, lxw_format *text, lxw_format *number, lxw_format *shade) {
    char cell[128], words_cell[64];
    snprintf(cell, sizeof cell, "Sheet %d", n);
    lxw_worksheet *s = workbook_add_worksheet(book, cell);
    worksheet_set_column(s, 0, 11, 20, NULL);
    worksheet_freeze_panes(s, 1, 1);
    lxw_table_column *columns[13];
    static char heads[12][16];
    static lxw_table_column store[12];
    for (int c = 0; c < 12; c++) {
        snprintf(heads[c], sizeof heads[c], "Field %d", c + 1);
        store[c] = (lxw_table_column){.header = heads[c]};
        columns[c] = &store[c];
    }
    columns[12] = NULL;
    snprintf(cell, sizeof cell, "List%d", n);
    lxw_table_options options = {.name = cell, .columns = columns, .style_type = LXW_TABLE_STYLE_TYPE_DEFAULT};
    worksheet_add_table(s, 0, 0, 2000, 11, &options);
    for (int r = 1; r <= 2000; r++) {
        for (int c = 0; c < 12; c++) {
            if (c == 0 && r <= 20) {
                snprintf(cell, sizeof cell, "internal:'Summary'!A%d", n + 1);
                worksheet_write_url(s, r, 0, cell, text);
            }
            if (c < 4) {
                name(words_cell, sizeof words_cell, r, c);
                worksheet_write_string(s, r, c, words_cell, text);
            } else if (c < 7)
                worksheet_write_string(s, r, c, answers[r % 4], text);
            else if (c < 11)
                worksheet_write_number(s, r, c, figure(r, c), number);
            else {
                snprintf(cell, sizeof cell, "=H%d*I%d+J%d", r + 1, r + 1, r + 1);
                worksheet_write_formula_num(s, r, c, cell, number, figure(r, 7) * figure(r, 8) + figure(r, 9));
            }
        }
    }
    for (int c = 4; c < 7; c++) {
        lxw_data_validation list = {.validate = LXW_VALIDATION_TYPE_LIST, .value_list = (char **)answers};
        worksheet_data_validation_range(s, 1, c, 2000, c, &list);
        for (int k = 1; k < 4; k++) {
            snprintf(cell, sizeof cell, "\"%s\"", answers[k]);
            lxw_conditional_format f = {.type = LXW_CONDITIONAL_TYPE_CELL, .criteria = LXW_CONDITIONAL_CRITERIA_EQUAL_TO, .value_string = cell, .format = shade};
            worksheet_conditional_format_range(s, 1, c, 2000, c, &f);
        }
    }
    worksheet_set_landscape(s);
    worksheet_fit_to_pages(s, 1, 0);
    worksheet_repeat_rows(s, 0, 0);
    worksheet_print_area(s, 0, 0, 2000, 11);
    worksheet_set_header(s, "&Lbench&C&A");
    worksheet_set_footer(s, "&RPage &P of &N");
}

int main(int argc, char **argv) {
    lxw_workbook *book = workbook_new(argc > 1 ? argv[1] : "book.xlsx");
    lxw_worksheet *sum = workbook_add_worksheet(book, "Summary");
    lxw_format *text = workbook_add_format(book), *number = workbook_add_format(book), *shade = workbook_add_format(book);
    format_set_border(text, LXW_BORDER_THIN);
    format_set_border(number, LXW_BORDER_THIN);
    format_set_bold(shade);
    char cell[128];
    worksheet_write_string(sum, 0, 0, "Sheet", text);
    worksheet_write_string(sum, 0, 1, "Sum", text);
    worksheet_write_string(sum, 0, 2, "Rows", text);
    for (int n = 1; n <= 12; n++) {
        double total = 0;
        for (int r = 1; r <= 2000; r++)
            total += figure(r, 7) * figure(r, 8) + figure(r, 9);
        snprintf(cell, sizeof cell, "internal:'Sheet %d'!A1", n);
        worksheet_write_url(sum, n, 0, cell, text);
        snprintf(cell, sizeof cell, "Sheet %d", n);
        worksheet_write_string(sum, n, 0, cell, text);
        snprintf(cell, sizeof cell, "=SUM('Sheet %d'!L2:L2001)", n);
        worksheet_write_formula_num(sum, n, 1, cell, number, total);
        snprintf(cell, sizeof cell, "=COUNTA('Sheet %d'!A2:A2001)", n);
        worksheet_write_formula_num(sum, n, 2, cell, number, 2000);
    }
    for (int k = 0; k < 2; k++) {
        lxw_chart *chart = workbook_add_chart(book, LXW_CHART_BAR_STACKED);
        chart_add_series(chart, "=Summary!$A$2:$A$13", k ? "=Summary!$C$2:$C$13" : "=Summary!$B$2:$B$13");
        worksheet_insert_chart(sum, k ? 19 : 1, 4, chart);
    }
    for (int n = 1; n <= 12; n++)
        table(book, n, text, number, shade);
    return workbook_close(book);
}
