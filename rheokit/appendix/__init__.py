"""The appendix of a report: one document of a workbook, as a page, a PDF that is its own archive, and files of its tables and figures."""
